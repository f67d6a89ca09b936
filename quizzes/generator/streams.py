"""Random numbers that are the same on every machine and every version of Python.

A stream is named: its key is a hash of the seed and of what the numbers are for, so a
choice that is added later leaves all others as they were. Nothing here rounds, so two
machines can't differ.
"""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

T = TypeVar("T")

GOLDEN = 0x9E3779B97F4A7C15
MASK = (1 << 64) - 1


def key_of(*names: object) -> int:
    """A number of 64 bits that follows from the names and from nothing else."""
    text = "\x1f".join(str(name) for name in names)
    return int.from_bytes(sha256(text.encode()).digest()[:8], "big")


class Stream:
    """SplitMix64: the sequence that starts from one 64-bit key.

    References
    ----------
    Steele, G. L., Lea, D. and Flood, C. H. (2014). Fast splittable pseudorandom number
    generators. Proceedings of OOPSLA 2014, 453-472.
    """

    def __init__(self, key: int) -> None:
        self.state = key & MASK

    @classmethod
    def of(cls, *names: object) -> Stream:
        """The stream of that name, most often a seed and what it is for."""
        return cls(key_of(*names))

    def bits(self) -> int:
        """The next whole number below 2**64."""
        self.state = (self.state + GOLDEN) & MASK
        mixed = self.state
        mixed = ((mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9) & MASK
        mixed = ((mixed ^ (mixed >> 27)) * 0x94D049BB133111EB) & MASK
        return mixed ^ (mixed >> 31)

    def below(self, limit: int) -> int:
        """A whole number from 0 to limit - 1; the unevenness is below limit / 2**64."""
        return (self.bits() * limit) >> 64

    def between(self, low: int, high: int) -> int:
        """A whole number from low to high, both included."""
        return low + self.below(high - low + 1)

    def choice(self, items: Sequence[T]) -> T:
        return items[self.below(len(items))]

    def shuffled(self, items: Sequence[T]) -> list[T]:
        """The items in an order that is each as likely as any other."""
        mixed = list(items)
        for last in range(len(mixed) - 1, 0, -1):
            other = self.below(last + 1)
            mixed[last], mixed[other] = mixed[other], mixed[last]
        return mixed

    def sample(self, items: Sequence[T], count: int) -> list[T]:
        """That many of the items, none twice."""
        rest = list(items)
        count = min(count, len(rest))
        for at in range(count):
            other = self.between(at, len(rest) - 1)
            rest[at], rest[other] = rest[other], rest[at]
        return rest[:count]

    def array(self, *shape: int) -> NDArray[np.uint64]:
        """The next numbers of the same sequence, as an array filled row by row."""
        count = int(np.prod(shape))
        steps = np.arange(1, count + 1, dtype=np.uint64)
        mixed = np.uint64(self.state) + steps * np.uint64(GOLDEN)
        mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        self.state = (self.state + count * GOLDEN) & MASK
        result: NDArray[np.uint64] = (mixed ^ (mixed >> np.uint64(31))).reshape(shape)
        return result
