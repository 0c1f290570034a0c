"""The folder of exports: written aside, swapped in whole, or left as it was.

Stands before the writers. Only a folder that a build wrote, and that holds nothing else, is ever
replaced: `job.json` is its mark and lists its files. A link is never a build's, nor is a folder in
which none of its files belongs.

    parent/.name.mateline-1/new     written here; changes places with parent/name when all is done
    parent/.name.mateline-1/old     what parent/name was, where that takes two steps
"""

from __future__ import annotations

import errno
import json
import os
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from mateline.errors import InputError
from mateline.exports.exchange import exchanged
from mateline.exports.hidden_folder import OLD, HiddenFolder
from mateline.interrupts import kept_waiting

if TYPE_CHECKING:
    from collections.abc import Iterator

MARK = "job.json"
MAKER = "mateline"  # job.json: {"made_by": MAKER, "files": [...], ...}
# What a disk answers to writing; any other fault of the system counts by the file that it names.
_REFUSED = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EROFS, errno.EIO})


@contextmanager
def swapped_in(target: Path) -> Iterator[Path]:
    """An empty folder to write into, which becomes `target` when the block ends well.

    On any failure, Ctrl-C included, `target` is as it was and what was written is removed. Two at
    once are no harm: each is whole, and the last to end stays. Raises InputError where `target` may
    not or can not be replaced.
    """
    target = _resolved(target)  # a link to a build stays a link
    refuse_foreign(target)
    hidden = HiddenFolder(target)
    try:
        hidden.make()
        new = hidden.path / "new"
        new.mkdir()
        yield new
        if not (new / MARK).is_file():
            raise RuntimeError(f"an export without its {MARK} could never be replaced")
        refuse_foreign(target)  # a build takes seconds, and somebody may have saved a file there
        with kept_waiting(for_good=True):
            _swap(new, target, hidden.path / OLD)
            hidden.clear()
    except OSError as error:
        if error.errno not in _REFUSED and not _is_there(error, target, hidden.path):
            raise
        what = f"The exports cannot be written here: {error.strerror}."
        remedy = "Make room or give yourself the right to write there, or use --out."
        raise InputError(str(target), "", what, remedy) from error
    finally:
        hidden.clear()


def _is_there(error: OSError, target: Path, hidden: Path) -> bool:
    """Whether an error is about the place of the exports, and not about some other file."""
    if not isinstance(error.filename, str):
        return False
    path = Path(error.filename)
    above = (target, *target.parents)
    return path in above or any(path.is_relative_to(each) for each in (target, hidden))


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
    if not os.path.lexists(target):
        return
    if not target.is_dir():
        what = "This is a file, and the exports need a folder."
        raise InputError(str(target), "", what, "Use --out with another folder.")
    try:
        foreign = _foreign(target)
    except OSError as error:
        what = f"This folder can't be looked into: {error.strerror}."
        raise InputError(str(target), "", what, "Use --out with another folder.") from error
    if foreign:
        more = f" and {len(foreign) - 1} more" if len(foreign) > 1 else ""
        what = f"{foreign[0]}{more} was not written by a build and would be lost."
        raise InputError(str(target), "", what, "Move it elsewhere and build again.")


def _foreign(target: Path) -> list[str]:
    """What in `target` no build has written. Raises InputError where none has written there."""
    if not any(target.iterdir()):
        return []
    listed = _listed(target / MARK)
    if listed is None:
        what = f"This folder has files in it and no {MARK} of a build, so it is not replaced."
        raise InputError(str(target), "", what, "Use --out with an empty or new folder.")
    files = listed | {MARK}
    folders = {str(above) for name in files for above in PurePosixPath(name).parents}
    return sorted(
        name for path, name in _below(target)
        if path.is_symlink() or name not in (folders if path.is_dir() else files)
    )  # fmt: skip


def _below(folder: Path) -> Iterator[tuple[Path, str]]:
    """All below a folder, with paths as job.json writes them; links are not followed."""
    for path in folder.rglob("*"):
        yield path, path.relative_to(folder).as_posix()


def _listed(mark: Path) -> frozenset[str] | None:
    """The files that a build says it wrote; None where `mark` is not a build's."""
    try:
        job = json.loads(mark.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    if not isinstance(job, dict) or job.get("made_by") != MAKER:
        return None
    files = job.get("files")
    return frozenset(map(str, files)) if isinstance(files, list) else None


def _resolved(target: Path) -> Path:
    try:
        return target.resolve()
    except (OSError, RuntimeError) as error:  # RuntimeError: a loop of links, until Python 3.13
        what = "No folder can be found here: the links go round in a circle, or can't be followed."
        raise InputError(str(target), "", what, "Use --out with another folder.") from error


def _swap(new: Path, target: Path, old: Path) -> None:
    """Put `new` in the place of `target`; on any failure all is where it was.

    What was at `target` is looked at again where nobody can reach it any more, for whatever was
    saved there at the last moment.
    """
    if not os.path.lexists(target):
        try:
            new.rename(target)
        except OSError as error:
            if error.errno not in {errno.EEXIST, errno.ENOTEMPTY}:
                raise
        else:
            return  # otherwise another build was first
    if exchanged(new, target):
        try:
            _refuse_late(new, target)
        except InputError:
            exchanged(new, target)
            raise
        return
    target.rename(old)
    try:
        _refuse_late(old, target)
        new.rename(target)
    except BaseException:
        if not target.exists():
            old.rename(target)
        raise


def _refuse_late(moved: Path, target: Path) -> None:
    try:
        refuse_foreign(moved)
    except InputError as fault:
        raise InputError(str(target), fault.place, fault.what, fault.remedy) from None
