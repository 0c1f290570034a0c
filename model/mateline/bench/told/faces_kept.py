"""The faces of one cabinet as they are told, each made once and known by a key.

Last of the room. The survey gives one object for what has not changed, so a face is as it was when
its stencil, its art and all hardware entries are the same objects.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.bench.told.faces import art_told, face_told

if TYPE_CHECKING:
    from mateline.stencil.stencil import Stencil
    from mateline.survey import Job


class FacesKept:
    """Keys of the faces of the last job, and their drawings once somebody has asked for them."""

    def __init__(self) -> None:
        self._count = 0
        self._of: dict[str, tuple[tuple[Any, ...], str]] = {}
        self._told: dict[str, dict[str, Any]] = {}

    def keys(self, job: Job) -> dict[str, str]:
        """The key of each face of `job`: the one it had, where nothing of it is new."""
        found = {}
        for stencil in job.stencils:
            name = stencil.face.name
            parts = _parts(job, stencil)
            before = self._of.get(name)
            if before is None or not _same(before[0], parts):
                self._count += 1
                self._of[name] = (parts, str(self._count))
                self._told.pop(name, None)
            found[name] = self._of[name][1]
        for gone in self._of.keys() - found.keys():
            del self._of[gone]
            self._told.pop(gone, None)
        return found

    def told(self, job: Job, name: str) -> dict[str, Any] | None:
        """The face called `name`; None where there is none. Ask for `keys` of the job first."""
        stencil = _stencil(job, name)
        if stencil is None:
            return None
        key = self.keys(job)[name]
        if name not in self._told:
            self._told[name] = {"key": key, **face_told(job, stencil)}
        return self._told[name]

    def art(self, job: Job, name: str) -> dict[str, Any] | None:
        """What lies on the face called `name`, entry by entry; None where there is none."""
        stencil = _stencil(job, name)
        if stencil is None:
            return None
        return {"key": self.keys(job)[name], "art": art_told(job, stencil)}


def _stencil(job: Job, name: str) -> Stencil | None:
    return next((each for each in job.stencils if each.face.name == name), None)


def _parts(job: Job, stencil: Stencil) -> tuple[Any, ...]:
    name = stencil.face.name
    art = tuple(each for each in job.art if each.face == name)
    return (stencil, len(job.definition.hardware), *art)


def _same(first: tuple[Any, ...], second: tuple[Any, ...]) -> bool:
    return len(first) == len(second) and all(
        one is other or (isinstance(one, int) and one == other)
        for one, other in zip(first, second, strict=True)
    )
