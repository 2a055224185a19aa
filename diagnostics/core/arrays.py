"""Array types named by dtype; the docstring of each use gives the shape."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Float64s = NDArray[np.float64]
Float32s = NDArray[np.float32]
Complex64s = NDArray[np.complex64]
Int64s = NDArray[np.int64]
Indices = NDArray[np.intp]
Bools = NDArray[np.bool_]
