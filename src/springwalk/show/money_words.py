"""Money as people talk of it, and what an answer's money was worked with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from springwalk.show import numbers as n
from springwalk.show.numbers import Shown

if TYPE_CHECKING:
    from springwalk.jobs.terms import TermsSaid

_NAMES = {
    "crop": "yield", "price": "price", "own_pass": "cost of a pass", "product": "cost of the product", "wage": "wage",
    "days_to_sprayer": "days to the sprayer",
}  # fmt: skip


def dollars(value: float) -> Shown:
    """Expected money: ``$1,180``; two figures are enough above a hundred, because it is an expectation."""
    step = 10 ** max(len(str(int(abs(value)))) - 2, 0) if abs(value) >= 100 else 1
    whole = round(value / step) * step
    return Shown(f"{'−' if whole < 0 else ''}${abs(whole):,.0f}", "assumption")


def terms_words(terms: TermsSaid) -> str:
    """The prices of an answer in one sentence, and which of them nobody typed."""
    said = (
        f"Worked with {n.number(terms.crop_bu_ac, 'bushels an acre', decimals=0)} at ${terms.price_usd_bu:.2f}, a pass"
        f" at ${terms.pass_usd_ac:.2f} an acre that goes in {n.count(terms.days_to_sprayer, 'day')} (its product alone"
        f" ${terms.product_usd_ac:.2f}, on a pass that goes anyway), an hour at"
        f" ${terms.wage_usd_h:.2f}."
    )
    if not terms.assumed:
        return said
    named = [_NAMES[name] for name in terms.assumed]
    listed = ", ".join(named[:-1]) + f" and {named[-1]}" if len(named) > 1 else named[0]
    return f"{said} Nobody typed {listed}: that is an assumption; put yours under [money] in season.toml."
