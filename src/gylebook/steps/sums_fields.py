"""Fields that several sums ask for."""

from __future__ import annotations

from gylebook.phrases import say
from gylebook.steps.fields import QUANTITY, Field

POSSIBLE_SG = (0.98, 1.15)


def gravity(name: str, label: str, *, required: bool = False, default: str = "", reason: str = "") -> Field:
    """A gravity, in SG or degrees Plato."""
    return Field(
        name,
        label,
        QUANTITY,
        ("gravity", "extract"),
        required=required,
        possible=POSSIBLE_SG,
        default=default,
        reason=reason,
        hint=say("1.042, or 10.5 °P"),
    )


def volume(
    name: str,
    label: str,
    *,
    required: bool = False,
    default: str = "",
    reason: str = "",
    possible: tuple[float, float] = (0.0, 1000.0),
) -> Field:
    """A volume of beer, wort or water."""
    return Field(
        name,
        label,
        QUANTITY,
        ("volume",),
        required=required,
        possible=possible,
        default=default,
        reason=reason,
        hint=say("21.5 L, or 5 imp gal"),
    )


def temperature(
    name: str,
    label: str,
    *,
    required: bool = False,
    default: str = "",
    reason: str = "",
    possible: tuple[float, float] = (-10.0, 60.0),
) -> Field:
    """A temperature."""
    return Field(
        name,
        label,
        QUANTITY,
        ("temperature",),
        required=required,
        possible=possible,
        default=default,
        reason=reason,
        hint=say("20 °C, or 68 °F"),
    )


def mass(
    name: str,
    label: str,
    *,
    required: bool = False,
    default: str = "",
    reason: str = "",
    possible: tuple[float, float] = (0.0, 50_000.0),
) -> Field:
    """A mass."""
    return Field(
        name,
        label,
        QUANTITY,
        ("mass",),
        required=required,
        possible=possible,
        default=default,
        reason=reason,
        hint=say("126 g, or 4.5 oz"),
    )


def co2(name: str, label: str, *, required: bool = False, default: str = "", reason: str = "") -> Field:
    """Carbon dioxide in beer."""
    return Field(
        name,
        label,
        QUANTITY,
        ("co2",),
        required=required,
        possible=(0.0, 10.0),
        default=default,
        reason=reason,
        hint=say("2.4 vol"),
    )
