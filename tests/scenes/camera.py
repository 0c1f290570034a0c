"""A camera of the tests: a pinhole with a lens, and where it stands before a face.

A point of the face (x, y, 0), mm, comes to (X, Y, Z) before the camera, to u = X/Z, v = Y/Z, is
moved by the lens to u (1 + k1 r² + k2 r⁴), r² = u² + v², and falls on pixel `focal` u + `centre`.
Rows run down. (The usual radial model: D. C. Brown, Close-range camera calibration, 1971.)
"""

import math
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Camera:
    """`size` is (wide, high) px; `turn` (3, 3) and `shift` (3,) take face points to the camera's
    frame: x right, y down, z away from it. `centre` is where its axis meets the picture, px, from
    the outer corner of the first pixel.
    """

    size: tuple
    focal: float
    centre: tuple
    turn: np.ndarray
    shift: np.ndarray
    k1: float = 0.0
    k2: float = 0.0

    def pixels(self, points):
        """Face points (n, 2), mm, to pixels (n, 2), column then row."""
        seen = np.column_stack([points, np.zeros(len(points))]) @ self.turn.T + self.shift
        flat = seen[:, :2] / seen[:, 2:]
        r2 = (flat**2).sum(axis=1, keepdims=True)
        return flat * (1 + self.k1 * r2 + self.k2 * r2**2) * self.focal + self.centre

    def face(self, pixels):
        """Pixels (n, 2) to face points (n, 2), mm: the inverse of `pixels`."""
        bent = (pixels - self.centre) / self.focal
        flat = bent.copy()
        for _ in range(12):  # a fixed point; the lens moves points by a few per cent only
            r2 = (flat**2).sum(axis=1, keepdims=True)
            flat = bent / (1 + self.k1 * r2 + self.k2 * r2**2)
        rays = np.column_stack([flat, np.ones(len(flat))]) @ self.turn
        start = -self.turn.T @ self.shift
        return start[:2] + rays[:, :2] * (-start[2] / rays[:, 2:])


def standing(outline, size=(3000, 4000), density=2.35, *, yaw_deg=14.0, pitch_deg=-4.0,
             roll_deg=1.5, k1=-0.08, k2=0.0, moved=(0.0, 0.0), focal=1.15):  # fmt: skip
    """A camera whose picture has the middle of `outline` in its middle, at about `density` px/mm.

    `focal` is a share of the picture's longer side; `moved` is how far the axis is from the
    picture's middle, px.
    """
    wide, high = size
    length = focal * max(size)
    yaw, pitch, roll = (math.radians(each) for each in (yaw_deg, pitch_deg, roll_deg))
    flip = np.diag([1.0, -1.0, -1.0])  # face y up, outwards; camera y down, away
    about_y = np.array(
        [[math.cos(yaw), 0, math.sin(yaw)], [0, 1, 0], [-math.sin(yaw), 0, math.cos(yaw)]]
    )
    about_x = np.array(
        [[1, 0, 0], [0, math.cos(pitch), -math.sin(pitch)], [0, math.sin(pitch), math.cos(pitch)]]
    )
    about_z = np.array(
        [[math.cos(roll), -math.sin(roll), 0], [math.sin(roll), math.cos(roll), 0], [0, 0, 1]]
    )
    turn = about_z @ about_x @ about_y @ flip
    low, left, up, right = (outline.bounds[at] for at in (1, 0, 3, 2))
    middle = np.array([(left + right) / 2, (low + up) / 2, 0.0])
    away = np.array([0.0, 0.0, length / density])
    return Camera(
        size, length, (wide / 2 + moved[0], high / 2 + moved[1]), turn, away - turn @ middle, k1, k2
    )
