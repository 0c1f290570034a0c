"""A ruler for the texts of one table, without a cabinet round it."""

from mateline.definition.lengths import ruler_for
from mateline.definition.schema import DefinitionTable
from mateline.errors import Faults


def ruler(unit="mm", file="cabinet.toml"):
    table = {
        "title": "t",
        "tape": {"unit": unit, "graduation": "1 mm", "accuracy": "II"},
        "palette": {"base": "cream", "colours": {"cream": {"paint": "#f4ead2", "letter": "C"}}},
        "carcase": [
            {"name": "box", "view": "side", "corners": ["A", "B", "C"], "width": "1 mm",
             "board": "1 mm", "panels": {}},
        ],
    }  # fmt: skip
    return ruler_for(DefinitionTable.model_validate(table), Faults(file))
