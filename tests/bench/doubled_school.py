"""A school twice over: all its golfers, bays and instructors a second time, under other names.

``python -m tests.bench.doubled_school SCHOOL.json`` writes it to the output; ``golfers_96.json`` is
``golfers_48.json`` doubled. It has a plan if the smaller one has, since two plans of that do not
meet, yet the search does not know: every squad may go to every bay. The lead stays one person.
"""

import json
import sys
from pathlib import Path
from typing import Any

TWICE = ("attendees", "squads", "bays", "instructors")


def doubled(school: dict[str, Any]) -> dict[str, Any]:
    more = {key: school[key] + [_again(row) for row in school[key]] for key in TWICE}
    pairs = {
        key: school[key] + [[f"{one}-2", f"{other}-2"] for one, other in school[key]]
        for key in ("together", "apart")
    }
    return {**school, "name": f"{len(more['attendees'])} golfers", **more, **pairs}


def _again(row: dict[str, Any]) -> dict[str, Any]:
    members = {"members": [f"{each}-2" for each in row["members"]]} if "members" in row else {}
    return {**row, "id": f"{row['id']}-2", **members}


def written(school: dict[str, Any]) -> str:
    """The file, with one row of a list on a line."""
    parts = []
    for key, value in school.items():
        rows = isinstance(value, list) and value and isinstance(value[0], dict | list)
        lines = ",\n".join(f"  {json.dumps(row)}" for row in value) if rows else ""
        parts.append(f" {json.dumps(key)}: " + (f"[\n{lines}\n ]" if rows else json.dumps(value)))
    return "{\n" + ",\n".join(parts) + "\n}\n"


if __name__ == "__main__":
    sys.stdout.write(written(doubled(json.loads(Path(sys.argv[1]).read_text()))))
