"""``manage.py plan_file``: a school's file in, a plan's file out."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from tests.lessons.planner.school_files import activity, instructor, small_plan, small_school


def written(folder: Path, name: str, data: object) -> Path:
    path = folder / name
    path.write_text(json.dumps(data))
    return path


def plan(folder: Path, school: dict[str, Any], *more: str) -> tuple[str, dict[str, Any]]:
    """What the command says, and the plan it writes."""
    told, out = StringIO(), folder / "found.json"
    path = written(folder, "school.json", school)
    call_command("plan_file", path, "--out", out, "--seconds", "10", *more, stdout=told)
    return told.getvalue(), json.loads(out.read_text())


def refused(folder: Path, path: Path, *more: str) -> tuple[str, CommandError]:
    told = StringIO()
    with pytest.raises(CommandError) as raised:
        call_command("plan_file", path, "--out", folder / "found.json", *more, stdout=told)
    return told.getvalue(), raised.value


def starts(found: dict[str, Any]) -> dict[tuple[str, str], tuple[int, str, list[str]]]:
    return {
        (row["squad"], row["activity"]): (row["slot"], row["bay"], row["instructors"])
        for row in found["plan"]
    }


def test_a_plan_is_written_and_every_goal_told(tmp_path: Path) -> None:
    told, found = plan(tmp_path, small_school())
    assert len(found["plan"]) == 6
    assert [goal["name"] for goal in found["goals"]] == [
        "idle", "lead", "same_instructor", "fairness", "preference", "walking",
    ]  # fmt: skip
    for goal in found["goals"]:
        assert goal["name"] in told
    assert "first plan after" in told


def test_one_talk_for_both_squads_is_all_that_her_day_has_room_for(tmp_path: Path) -> None:
    school = small_school(instructors=[instructor("Ida", max_load=5)])
    session = starts(plan(tmp_path, school)[1])
    assert session["red", "talk"] == session["blue", "talk"]
    assert {session["red", "swing"][1], session["red", "again"][1]} == {"M1"}


def test_planning_again_keeps_what_was_and_moves_nobody_without_need(tmp_path: Path) -> None:
    published = written(tmp_path, "published.json", small_plan())
    ill = small_school(
        instructors=[
            instructor("Ida", max_load=4),
            instructor("Jon", available=[[0, 0, 2]], max_load=3, load_factor=2),
        ]
    )
    told, found = plan(tmp_path, ill, "--freeze", str(published), "--from", "0:2")
    before, after = starts(small_plan()), starts(found)
    kept = [key for key, (slot, _, _) in before.items() if slot < 2]
    assert [after[key] for key in kept] == [before[key] for key in kept]
    goals = {goal["name"]: goal for goal in found["goals"]}
    assert goals["moved"] == {"name": "moved", "value": 2, "bound": 2, "proven": True}
    assert told.splitlines()[1].startswith("moved ")


def test_what_clashes_comes_out_as_json_with_code_2(tmp_path: Path) -> None:
    nobody = small_school(
        activities=[activity("swing", skill="juggling")], rules=[], continuity=None
    )
    told, error = refused(tmp_path, written(tmp_path, "school.json", nobody))
    clash = json.loads(told)
    assert error.returncode == 2
    assert clash["conflicts"]
    assert all({"rule", "words", "keys"} <= conflict.keys() for conflict in clash["conflicts"])
    assert {"together", "minimal", "ways_out"} <= clash.keys()
    assert not (tmp_path / "found.json").exists()


@pytest.mark.parametrize(
    ("text", "words"),
    [("{", "is not JSON"), ("[]", "must be an object"), ('{"format": 1}', "format must be")],
)
def test_a_wrong_file_is_told_by_name_with_code_2(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "school.json"
    path.write_text(text)
    told, error = refused(tmp_path, path)
    assert (told, error.returncode) == ("", 2)
    assert "school.json" in str(error)
    assert words in str(error)


def test_a_file_that_is_not_there_or_not_a_text_is_told(tmp_path: Path) -> None:
    assert "cannot be read" in str(refused(tmp_path, tmp_path / "none.json")[1])
    (tmp_path / "picture.json").write_bytes(b"\xff\xfe\x00")
    assert "not a text in UTF-8" in str(refused(tmp_path, tmp_path / "picture.json")[1])


def test_a_published_plan_of_another_school_is_told(tmp_path: Path) -> None:
    school = written(tmp_path, "school.json", small_school())
    other = written(tmp_path, "other.json", {"plan": [{"squad": "green"}]})
    _, error = refused(tmp_path, school, "--freeze", str(other), "--from", "0:1")
    assert error.returncode == 2
    assert "other.json" in str(error)


def test_a_plan_to_keep_needs_a_time_from_which_it_may_change(tmp_path: Path) -> None:
    school = written(tmp_path, "school.json", small_school())
    _, error = refused(tmp_path, school, "--from", "0:1")
    assert (error.returncode, str(error)) == (2, "--freeze and --from go together.")


@pytest.mark.parametrize(
    "more", [("--seconds", "soon"), ("--seconds", "0"), ("--from", "noon"), ("--from", "1")]
)
def test_options_that_make_no_sense_are_refused(tmp_path: Path, more: tuple[str, str]) -> None:
    _, error = refused(tmp_path, written(tmp_path, "school.json", small_school()), *more)
    assert repr(more[1]) in str(error)


@pytest.mark.parametrize("out", ["none/found.json", "."])
def test_a_place_for_no_file_is_told_before_the_search(tmp_path: Path, out: str) -> None:
    school = written(tmp_path, "school.json", small_school())
    with pytest.raises(CommandError, match="is no place for a file"):
        call_command("plan_file", school, "--out", tmp_path / out)


def test_too_little_time_is_neither_a_plan_nor_a_refusal(tmp_path: Path) -> None:
    school = written(tmp_path, "school.json", small_school())
    told, error = refused(tmp_path, school, "--seconds", "0.000001")
    assert (told, error.returncode) == ("", 1)
