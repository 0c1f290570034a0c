from pathlib import Path

import pytest

from mateline.survey import surveyed, with_true_borders

CABINET = Path(__file__).parents[3] / "cabinets" / "harbour-lights"


@pytest.fixture(scope="session")
def job():
    return with_true_borders(surveyed(CABINET))
