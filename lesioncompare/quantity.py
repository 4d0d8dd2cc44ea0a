"""A measured number that knows its unit and how wrong it may be."""

from dataclasses import dataclass
from math import exp, isfinite, sqrt

COVERAGE_95 = 1.959964  # [1] two-sided 95 % factor of the normal distribution


@dataclass(frozen=True, slots=True)
class Component:
    """One named source of error.

    Parameters
    ----------
    name
        Its name: scale, print, plane, tilt, border, colour, repeat, pixel.
    u
        Its standard uncertainty, in the unit of the quantity [same unit].
    common
        True when every photo of a series shares this error (the print of the sticker,
        say): it then cancels in a difference and is not counted there.
    """

    name: str
    u: float
    common: bool = False

    def __post_init__(self) -> None:
        if not (isfinite(self.u) and self.u >= 0):
            raise ValueError(f"u of component {self.name} must be finite and not negative")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value with its unit and its error components, which combine as root sum of squares.

    Parameters
    ----------
    value
        Best estimate [unit].
    unit
        Unit: "mm", "mm²", "1", "CIELAB", "days".
    components
        Independent sources of error (JCGM 100:2008, 5.1.2).
    relative
        True for sizes, whose errors scale with the size: the 95 % interval is then
        symmetric in the logarithm and never reaches zero.
    interval
        A 95 % interval found another way, for what is neither: a distance, say, which is
        positive even without change.
    """

    value: float
    unit: str
    components: tuple[Component, ...] = ()
    relative: bool = False
    interval: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        if not isfinite(self.value):
            raise ValueError("value must be finite; leave an unknown measure out instead")
        if self.relative and self.value <= 0:
            raise ValueError("value must be positive when the interval is relative")

    @property
    def u(self) -> float:
        """Combined standard uncertainty [unit]."""
        return sqrt(sum(part.u**2 for part in self.components))

    @property
    def u_own(self) -> float:
        """Standard uncertainty without what the whole series shares [unit]."""
        return sqrt(sum(part.u**2 for part in self.components if not part.common))

    @property
    def low(self) -> float:
        """Lower end of the 95 % interval [unit]."""
        if self.interval is not None:
            return self.interval[0]
        if self.relative:
            return self.value * exp(-COVERAGE_95 * self.u / self.value)
        return self.value - COVERAGE_95 * self.u

    @property
    def high(self) -> float:
        """Upper end of the 95 % interval [unit]."""
        if self.interval is not None:
            return self.interval[1]
        if self.relative:
            return self.value * exp(COVERAGE_95 * self.u / self.value)
        return self.value + COVERAGE_95 * self.u
