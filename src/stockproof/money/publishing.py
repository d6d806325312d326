"""Sets the price and the budget down in the ledger, each figure derived from what the brief and catalogue state.

Inputs are named after their keys (`brief.money.discount`, `catalogue.<code>.price`); one that is there already
is used as it stands. The formulas that `price` and `budget` called are evaluated again on figures, so that
ledger and report rest on the same functions.
"""

from __future__ import annotations

from stockproof.figures import Ledger
from stockproof.installation import Installation
from stockproof.money.model import Budget
from stockproof.money.publish_budget import publish_budget
from stockproof.money.publish_price import publish_price
from stockproof.stated import Stated

__all__ = ["publish"]


def publish(budget: Budget, installation: Installation, ledger: Ledger) -> None:
    """Set down every figure of a budget.

    The names a document asks for: `money.price.total`, `money.price.works` and its parts, `money.group.<name>`,
    `money.delivery.total_mass`, `money.delivery.heaviest_piece`, `money.fitting_time`; with today's case and the
    terms also `money.outlay`, `money.capital_recovery`, `money.line.<key>`; with rates `money.net`, and under
    both `money.cash` and `money.with_unpaid`: `.net`, `.npv`, `.equivalent_annual`, `.irr`, `.payback`,
    `.discounted_payback`, with `.low` and `.high` beside them, and `.sensitivity.<key>[1]`, `[2]`. A payback or
    rate of return that does not exist has no figure.
    """
    stated = Stated(installation, ledger)
    publish_budget(stated, budget, publish_price(stated, budget.price))
