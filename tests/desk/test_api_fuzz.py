"""The interface against its own description: schemathesis sends what the description allows and what it does not."""

from __future__ import annotations

import random
from typing import Any

import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    negative_data_rejection,
    response_schema_conformance,
    status_code_conformance,
)

from stockproof.desk.api import make
from tests.desk.hand import Inline
from tests.desk.test_api import body

app = make(Inline())
schema = schemathesis.openapi.from_asgi("/openapi.json", app)
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
    negative_data_rejection,
]
GOOD = body()


@schema.hook
def map_body(_: Any, sent: Any) -> Any:
    """Half the time, real papers with one line of the brief or catalogue torn, so that more than the form is met."""
    if not isinstance(sent, dict) or not isinstance(sent.get("brief"), str):
        return sent
    chance = random.Random(sent["brief"])
    if chance.random() < 0.5 or set(sent) - set(GOOD):
        return sent
    torn = dict(GOOD)
    which = chance.choice(["brief", "catalogue"])
    lines = torn[which].splitlines()
    lines[chance.randrange(len(lines))] = sent["brief"]
    torn[which] = "\n".join(lines)
    return {**torn, "files": sent.get("files", torn["files"])}


@schema.parametrize()
@settings(
    max_examples=12,
    deadline=None,
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_every_answer_is_one_the_description_names(case: schemathesis.Case[Any]) -> None:
    case.call_and_validate(checks=CHECKS)
