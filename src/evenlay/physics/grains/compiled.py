"""The one place where kernels are compiled: cached, without the interpreter's lock, with the sums free to use vector registers."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

import numba

Kernel = TypeVar("Kernel", bound=Callable[..., object])


def compiled(kernel: Kernel) -> Kernel:
    """
    Compile a kernel at its first call and keep it on disk.

    Parameters
    ----------
    kernel : callable
        A function of numbers and arrays.

    Returns
    -------
    callable
        The same function, compiled; the plain function itself where the environment switches compilation off (``NUMBA_DISABLE_JIT=1``).

    Notes
    -----
    Sums inside one call may be taken in any order that the processor likes, but always the same one, whatever the number of threads:
    a thread works on whole rows. No kernel may meet NaN or infinity. What is kept on disk is told by the file of the kernel itself, not of
    the kernels that it calls: after editing one, ``make kernels`` forgets them all. A test finds the others by their plain functions.
    """
    return cast(Kernel, numba.njit(cache=True, nogil=True, fastmath=True, error_model="numpy")(kernel))
