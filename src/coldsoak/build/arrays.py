"""The one kind of array that build works with."""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
