"""How far apart two colours look, to eyes of full sight and to those that lack one kind of cone.

Matrices: Machado, Oliveira and Fernandes 2009, A physiologically-based model for simulation of color vision
deficiency, table 1, severity 1.0, on linear sRGB. Distances: CIE 1976 L*a*b*, white D65 (IEC 61966-2-1).
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

SIGHTS: Final = {
    "full": np.eye(3),
    "no red": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "no green": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "no blue": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
_XYZ: Final = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)
_WHITE: Final = np.array([0.95047, 1.0, 1.08883])


def apart(one: str, other: str) -> float:
    """Distance of two colours for the eye to which they look most alike."""
    return min(float(np.linalg.norm(_lab(sight, one) - _lab(sight, other))) for sight in SIGHTS.values())


def _lab(sight: NDArray[np.float64], colour: str) -> NDArray[np.float64]:
    coded = np.array([int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)])
    linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    ratio = _XYZ @ np.clip(sight @ linear, 0.0, 1.0) / _WHITE
    x, y, z = np.where(ratio > 216.0 / 24389.0, np.cbrt(ratio), (24389.0 / 27.0 * ratio + 16.0) / 116.0)
    return np.array([116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)])
