"""What each pixel sees: nearest surface, its normal and its place on the specimen."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .camera import Camera

GROUND, RULER, SHELL, INSIDE, SCUTE, LIGAMENT, BLOCK, INNER, PLATE, CRUST, FLESH = range(11)


@dataclass
class Buffer:
    """Arrays of the picture's shape; a sheet of points is drawn into it by `add`."""

    camera: Camera
    height: NDArray[np.float32]
    depth: NDArray[np.float32]
    normal: NDArray[np.float32]
    place: NDArray[np.float32]
    kind: NDArray[np.uint8]
    specimen: NDArray[np.uint8]

    @classmethod
    def empty(cls, camera: Camera) -> "Buffer":
        """Return a buffer that sees nothing yet."""
        shape = (camera.height_px, camera.width_px)
        normal = np.zeros((*shape, 3), np.float32)
        normal[..., 2] = 1.0
        return cls(
            camera,
            np.zeros(shape, np.float32),
            np.full(shape, np.inf, np.float32),
            normal,
            np.zeros((*shape, 4), np.float32),
            np.zeros(shape, np.uint8),
            np.zeros(shape, np.uint8),
        )

    def add(self, points, place, kind: int, specimen: int, two_sided: bool = False) -> None:
        """Draw a sheet of world points (n, m, 3) with four numbers (n, m, 4) of place each.

        A pixel keeps the point nearest to the lens.  Each point covers two by two pixels,
        so a sheet sampled at about 1.3 points per pixel has no holes.
        """
        normals = sheet_normals(points)
        pixels, depth = self.camera.project(points)
        towards = self._towards(points)
        facing = np.einsum("ijk,ijk->ij", normals, towards)
        if two_sided:
            normals = normals * np.where(facing < 0, -1.0, 1.0)[..., None]
        kinds = np.where((facing < 0) & (not two_sided), INSIDE, kind).astype(np.uint8)
        normals = np.where((kinds == INSIDE)[..., None], -normals, normals)
        column = np.floor(pixels[..., 0] - 0.5).astype(np.int32).ravel()
        row = np.floor(pixels[..., 1] - 0.5).astype(np.int32).ravel()
        seen = (column >= 0) & (row >= 0) & (column < self.camera.width_px - 1)
        seen &= (row < self.camera.height_px - 1) & (points[..., 2].ravel() > -0.5)
        if not seen.any():
            return
        ids = np.flatnonzero(seen)
        column, row = column[ids], row[ids]
        left, top = int(column.min()), int(row.min())
        wide, tall = int(column.max()) - left + 2, int(row.max()) - top + 2
        near = depth.ravel()[ids].astype(np.float32)
        order = np.argsort(-near, kind="stable")
        nearest = np.full(tall * wide, -1, np.int64)
        nearest[((row - top) * wide + column - left)[order]] = ids[order]
        nearest = nearest.reshape(tall, wide)
        far = np.where(nearest >= 0, depth.ravel()[nearest], np.inf).astype(np.float32)
        for down, across in ((0, 1), (1, 0), (1, 1)):
            moved = np.full_like(far, np.inf)
            moved[down:, across:] = far[: tall - down, : wide - across]
            moved_ids = np.full_like(nearest, -1)
            moved_ids[down:, across:] = nearest[: tall - down, : wide - across]
            closer = moved < far - 0.15
            # A pixel of its own keeps its point unless the neighbour is clearly nearer.
            far = np.where(closer, moved, far)
            nearest = np.where(closer, moved_ids, nearest)
        window = (slice(top, top + tall), slice(left, left + wide))
        wins = far < self.depth[window]
        chosen = nearest[wins]
        self.depth[window][wins] = far[wins]
        self.height[window][wins] = points.reshape(-1, 3)[chosen, 2]
        self.normal[window][wins] = normals.reshape(-1, 3)[chosen]
        self.place[window][wins] = place.reshape(-1, 4)[chosen]
        self.kind[window][wins] = kinds.ravel()[chosen]
        self.specimen[window][wins] = specimen

    def _towards(self, points):
        lens = np.array([0.0, 0.0, self.camera.distance_mm + self.camera.plane_mm])
        return lens - points


def sheet_normals(points):
    """Return unit normals (n, m, 3) of a sheet: first axis crossed with second."""
    down = np.gradient(points, axis=0)
    across = np.gradient(points, axis=1)
    normals = np.cross(down, across)
    return (normals / (np.linalg.norm(normals, axis=-1, keepdims=True) + 1e-12)).astype(
        np.float32
    )
