"""The kinds of numpy array that signatures speak of, by what they hold; their shapes stand in each docstring."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Bytes = NDArray[np.uint8]  # grey pictures, mostly
