"""The folder of exports: written aside, swapped in whole, or left as it was.

Stands beside the writers. Only a folder that a build wrote, and that holds nothing else, is ever
replaced: `job.json` is its mark and lists its files.

    parent/.name-x1y2z3/new     written here; renamed to parent/name when all is done
    parent/.name-x1y2z3/old     what parent/name was, until then
"""

from __future__ import annotations

import errno
import json
import shutil
from contextlib import contextmanager
from pathlib import Path
from tempfile import mkdtemp
from typing import TYPE_CHECKING

from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator

MARK = "job.json"
MAKER = "mateline"  # job.json: {"made_by": MAKER, "files": [...], ...}
_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EROFS)


@contextmanager
def swapped_in(target: Path) -> Iterator[Path]:
    """An empty folder to write into, which becomes `target` when the block ends well.

    On any failure, Ctrl-C included, `target` is as it was and what was written is removed.
    Raises InputError where `target` may not or can not be replaced.
    """
    target = target.resolve()  # a link stays a link
    refuse_foreign(target)
    holder = _holder(target)
    try:
        new = holder / "new"
        new.mkdir()
        yield new
        if not (new / MARK).is_file():
            raise RuntimeError(f"an export without its {MARK} could never be replaced")
        refuse_foreign(target)  # a build takes seconds, and somebody may have saved a file there
        _swap(new, target, holder / "old")
    except OSError as error:
        if error.errno not in _FULL:
            raise
        what = f"The disk is full or cannot be written: {error.strerror}."
        raise InputError(str(target), "", what, "Free some space, or use --out.") from error
    finally:
        shutil.rmtree(holder)


def write_text(path: Path, text: str) -> None:
    """Write a text as UTF-8 with the same line ends everywhere."""
    path.write_text(text, encoding="utf-8", newline="\n")


def files_in(folder: Path) -> list[str]:
    """Every file below `folder`, as sorted paths with forward slashes: what job.json lists."""
    return sorted(
        path.relative_to(folder).as_posix() for path in folder.rglob("*") if not path.is_dir()
    )


def refuse_foreign(target: Path) -> None:
    """Raise InputError unless `target` is absent, empty, or all of it was written by a build."""
    if not target.exists():
        return
    if not target.is_dir():
        what = "This is a file, and the exports need a folder."
        raise InputError(str(target), "", what, "Use --out with another folder.")
    found = files_in(target)
    if not found and not any(target.iterdir()):
        return
    listed = _listed(target / MARK)
    if listed is None:
        what = f"This folder has files in it and no {MARK} of a build, so it is not replaced."
        raise InputError(str(target), "", what, "Use --out with an empty or new folder.")
    foreign = [name for name in found if name not in listed and name != MARK]
    if foreign:
        more = f" and {len(foreign) - 1} more" if len(foreign) > 1 else ""
        what = f"{foreign[0]}{more} was not written by a build and would be lost."
        raise InputError(str(target), "", what, "Move it elsewhere and build again.")


def _listed(mark: Path) -> frozenset[str] | None:
    """The files that a build says it wrote; None where `mark` is not a build's."""
    try:
        job = json.loads(mark.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    if not isinstance(job, dict) or job.get("made_by") != MAKER:
        return None
    files = job.get("files")
    return frozenset(files) if isinstance(files, list) else None


def _holder(target: Path) -> Path:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        return Path(mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as error:
        what = f"The exports cannot be written here: {error.strerror}."
        remedy = "Give yourself the right to write there, or use --out with another folder."
        raise InputError(str(target), "", what, remedy) from error


def _swap(new: Path, target: Path, old: Path) -> None:
    """Two renames; when the second fails, the first is undone."""
    if not target.exists():
        new.rename(target)
        return
    target.rename(old)
    try:
        new.rename(target)
    except BaseException:
        if not target.exists():
            old.rename(target)
        raise
