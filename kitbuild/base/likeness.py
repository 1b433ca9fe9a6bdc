"""How alike two colours are: the CIEDE2000 difference, also as people with a colour-vision deficiency see it.

coloraide does the arithmetic. It is checked against the 34 pairs of Sharma, Wu and Dalal (2005) and the
matrices of Machado, Oliveira and Fernandes (2009) at severity 1.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final, Literal

from kitbuild.base.colour import Rgb

if TYPE_CHECKING:
    from coloraide import Color

Sight = Literal["protan", "deutan", "tritan"]
SIGHTS: Final[tuple[Sight, ...]] = ("protan", "deutan", "tritan")


@cache
def difference(one: Rgb, other: Rgb, sight: Sight | None = None) -> float:
    """CIEDE2000 between two sRGB colours, seen with full colour vision or with a simulated deficiency."""
    return ciede2000(_seen(one, sight), _seen(other, sight))


def ciede2000(one: Color, other: Color) -> float:
    """The difference of two colours in CIELAB under daylight (D65)."""
    return float(one.delta_e(other, method="2000", space="lab-d65"))


@cache
def seen(rgb: Rgb, sight: Sight) -> Rgb:
    """An sRGB colour as a deficiency of full severity shows it, clipped to the gamut."""
    red, green, blue = (round(255 * min(max(channel, 0.0), 1.0)) for channel in _seen(rgb, sight).coords())
    return (red, green, blue)


@cache
def _seen(rgb: Rgb, sight: Sight | None) -> Color:
    from coloraide import Color

    colour = Color("srgb", [channel / 255 for channel in rgb])
    if sight is None:
        return colour
    return colour.filter(sight, 1.0, method="machado", space="srgb-linear", out_space="srgb").clip()
