"""Contrast of two colours as WCAG 2.2 computes it (https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio)."""

from __future__ import annotations

import re


def luminance(colour: str) -> float:
    """Return the relative luminance of "#rrggbb" or "#rgb"."""
    digits = colour.lstrip("#")
    whole = digits if len(digits) == 6 else "".join(2 * digit for digit in digits)
    red, green, blue = (int(whole[at : at + 2], 16) / 255 for at in (0, 2, 4))
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in (red, green, blue)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the ratio, from 1 to 21."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def palettes(css: str) -> dict[str, dict[str, str]]:
    """Return the colours of a style by name: of the screen in the light and in the dark, and of paper."""
    found = [
        dict(re.findall(r"--([\w-]+): (#[0-9a-f]{3,6})\b", block)) for block in re.findall(r":root \{[^}]*\}", css)
    ]
    light, dark, paper = (block for block in found if block)
    return {"light": light, "dark": light | dark, "paper": light | paper}
