"""A studio on one machine: a teacher publishes, students update, one corrects, it is merged and published."""

import json
from pathlib import Path

import pytest

from tests.support.studio import GIT, Person, git, lamp_room

pytestmark = pytest.mark.skipif(GIT is None, reason="git is not installed")


def version_of(person: Person) -> str:
    studios = json.loads(person.did("list", "--json"))["studios"]
    return str(studios[0]["rulesets"][0]["version"])


def chance_of(person: Person) -> str:
    ran = person.run("weigh", "lamp-room", "--given", "no-light=yes", "--json")
    assert ran.code == 0, ran.err
    return str(json.loads(ran.out)["causes"][0]["chance"])


@pytest.mark.parametrize("kind", ["folder", "git"])
def test_what_a_student_corrects_reaches_every_student_but_the_one_who_stays(
    tmp_path: Path, kind: str
) -> None:
    place = tmp_path / "shared"
    place.mkdir()
    if kind == "git":
        git(place, "init", "--bare", "--quiet", "--initial-branch=main")
    teacher, *students = (Person.at(tmp_path / name) for name in ("teacher", "anna", "ben", "clara"))
    anna, ben, clara = students

    teacher.write("lamps.yaml", lamp_room())
    said = teacher.did("publish", "lamps.yaml", str(place), given="yes\n")
    assert "new: Lamps in our room (lamp-room 1.0.0)" in said
    for student in students:
        assert "lamp-room: 1.0.0, lamps.yaml" in student.did("get", str(place), "--name", "lamps")
        assert student.run("check", "lamp-room").code == 0
    before = chance_of(anna)

    # Anna corrects a copy, and clara wants none of it.
    anna.did("copy", "lamp-room", "mine.yaml")
    assert (anna.folder / "mine.yaml").read_text() == lamp_room()
    anna.write("mine.yaml", lamp_room("1.0.1", common="rare") + "# Counted this term.\n")
    said = anna.did("propose", "mine.yaml", "-o", "proposal.zip")
    assert "how_common: common (0.20) → rare (0.02)" in said
    clara.did("pin", "lamps")

    # Meanwhile the teacher changed something else.
    teacher.write("lamps.yaml", lamp_room("1.0.0", minutes=4))
    (anna.folder / "proposal.zip").rename(teacher.folder / "proposal.zip")
    looked = teacher.did("look", "proposal.zip")
    assert "how_common: common (0.20) → rare (0.02)" in looked
    assert "To take it in: canebrake studio merge proposal.zip" in looked
    merged = teacher.did("merge", "proposal.zip", "lamps.yaml", "-o", "lamps.yaml")
    assert "no conflicts; it passes check" in merged
    assert (teacher.folder / "lamps.yaml").read_text() == lamp_room("1.0.1", "rare", 4)
    assert "Published lamp-room 1.0.1" in teacher.did("publish", "lamps.yaml", str(place), "--yes")

    refused = ben.studio("update", given="no\n")
    assert refused.code == 1
    assert "left as it was" in refused.out
    assert version_of(ben) == "1.0.0"
    told = ben.did("update", given="yes\n")
    assert "minutes: 2 → 4" in told
    assert "nothing new" in ben.did("update")
    assert "taken" in anna.did("update", "lamps", "--yes")
    assert "lamps is pinned" in clara.did("update", "--yes")
    assert [version_of(one) for one in students] == ["1.0.1", "1.0.1", "1.0.0"]
    assert chance_of(clara) == before
    assert chance_of(anna) == chance_of(ben) != before

    # Ben goes back, offline: the place is gone.
    place.rename(tmp_path / "gone")
    assert "is again what it was before, and pinned" in ben.did("back", "lamps")
    assert (version_of(ben), chance_of(ben)) == ("1.0.0", before)
    ben.did("unpin", "lamps")
    away = ben.studio("update")
    assert away.code == 2
    assert "what was taken before is still there" in away.err
    assert chance_of(ben) == before
    (tmp_path / "gone").rename(place)
    ben.did("update", "--yes")
    assert version_of(ben) == "1.0.1"


def test_the_history_in_git_is_the_publishers_and_nobody_is_overwritten(tmp_path: Path) -> None:
    place = tmp_path / "shared"
    place.mkdir()
    git(place, "init", "--bare", "--quiet", "--initial-branch=rules")
    teacher = Person.at(tmp_path / "teacher")
    teacher.write("lamps.yaml", lamp_room())
    teacher.did("publish", "lamps.yaml", str(place), "--yes", "--message", "First rules")
    teacher.write("lamps.yaml", lamp_room("1.1.0", "rare"))
    teacher.did("publish", "lamps.yaml", str(place), "--yes")
    log = git(place, "log", "--format=%an|%s", "--all").splitlines()
    assert log == ["teacher|Lamps in our room 1.1.0", "teacher|First rules"]
    assert git(place, "ls-tree", "-r", "--name-only", "HEAD").split() == ["lamps.yaml"]
    assert "is there already, just so" in teacher.did("publish", "lamps.yaml", str(place), "--yes")
    teacher.write("lamps.yaml", lamp_room("1.1.0", "occasional"))
    ran = teacher.studio("publish", "lamps.yaml", str(place), "--yes")
    assert ran.code == 2
    assert "lamp-room 1.1.0 is there already and says something else" in ran.err
