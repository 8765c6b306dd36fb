"""Net, tax and gross of an invoice whose prices include tax, so that they agree by EN 16931.

EN 16931 works from net amounts up: the tax is the rounded net times the rate (BR-CO-17), the total is their
sum (BR-CO-15). A workshop's prices include tax, and not every gross amount can be reached that way: then the
cent that is left is told as the rounding amount (BT-114), and what the customer pays stays what was agreed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from configurator.builds.money import CENT, rounded

ZERO = Decimal("0.00")


@dataclass(frozen=True)
class Line:
    """One thing that is paid for, tax included; ``detail`` says more about it."""

    label: str
    detail: str
    gross: Decimal


@dataclass(frozen=True)
class NetLine(Line):
    """A line with its share of the net amount."""

    net: Decimal


@dataclass(frozen=True)
class Amounts:
    """An invoice's amounts: ``gross`` is ``net + tax + rounding``, and what the customer pays in all."""

    rate_pct: Decimal
    lines: tuple[NetLine, ...]
    reductions: tuple[NetLine, ...]
    net: Decimal
    tax: Decimal
    rounding: Decimal
    gross: Decimal


def split(gross: Decimal, rate_pct: Decimal) -> tuple[Decimal, Decimal, Decimal]:
    """Return net, tax and rounding of a gross amount: tax = round(net x rate / 100), all three add up to it.

    The rounding is nothing wherever some net amount reaches the gross one, and a cent at most elsewhere.
    """
    near = rounded(gross * 100 / (100 + rate_pct))
    found = [(near + step * CENT, rounded((near + step * CENT) * rate_pct / 100)) for step in (0, -1, 1)]
    net, tax = min(found, key=lambda pair: abs(gross - pair[0] - pair[1]))
    return net, tax, gross - net - tax


def worked_out(lines: Sequence[Line], reductions: Sequence[Line], rate_pct: Decimal) -> Amounts:
    """Return an invoice's amounts; the lines' net amounts less the reductions' add up to the net exactly."""
    gross = sum((line.gross for line in lines), ZERO) - sum((line.gross for line in reductions), ZERO)
    net, tax, rounding = split(gross, rate_pct)
    off = [rounded(line.gross * 100 / (100 + rate_pct)) for line in reductions]
    shares = spread(net + sum(off, ZERO), [line.gross for line in lines])
    return Amounts(
        rate_pct=rate_pct,
        lines=tuple(_with_net(line, share) for line, share in zip(lines, shares, strict=True)),
        reductions=tuple(_with_net(line, share) for line, share in zip(reductions, off, strict=True)),
        net=net,
        tax=tax,
        rounding=rounding,
        gross=gross,
    )


def _with_net(line: Line, net: Decimal) -> NetLine:
    return NetLine(line.label, line.detail, line.gross, net)


def spread(total: Decimal, weights: Sequence[Decimal]) -> list[Decimal]:
    """Split an amount by weights into whole cents that add up exactly: the largest remainders get more."""
    whole = sum(weights, ZERO)
    if not weights:
        return []
    exact = [total * weight / whole if whole else total / len(weights) for weight in weights]
    found = [share.quantize(CENT, ROUND_DOWN) for share in exact]
    left = int((total - sum(found, ZERO)) / CENT)
    order = sorted(range(len(exact)), key=lambda at: (found[at] - exact[at], at))
    for at in order[:left]:
        found[at] += CENT
    return found
