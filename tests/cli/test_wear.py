"""The command ``wear``."""

from __future__ import annotations

import json

from hydrokit.files import demonstration
from hydrokit.studies import wear
from hydrokit_cli.main import main


def test_it_is_that_of_the_library(capsys) -> None:
    code = main(["wear", "--until", "6.5 L/min", "--prefilter", "filter-pleated-20", "--json"])
    data = json.loads(capsys.readouterr().out)
    plain = wear(demonstration(), until_flow=6.5 / 60_000.0, prefilter="filter-pleated-20").to_dict()
    assert code == 0
    assert data == json.loads(json.dumps(plain))


def test_flushing_and_other_water_may_be_asked_for(capsys) -> None:
    assert main(["wear", "--flush", "500 L", "--set", "site.turbidity=9 NTU"]) == 0
    assert "with a flush after every 500 L" in " ".join(capsys.readouterr().out.split())


def test_a_prefilter_that_is_none_is_refused(capsys) -> None:
    assert main(["wear", "--prefilter", "nonesuch"]) == 2
    assert "nonesuch" in capsys.readouterr().err
