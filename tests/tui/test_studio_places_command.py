"""`canebrake studio get`, `publish`, `propose`, `sign` and the rest; and rulesets found by id."""

import json
import multiprocessing
import subprocess
from io import StringIO
from pathlib import Path

import pytest

from kb.disk import DiskError, alone
from tests.support.running import ROOT, environment
from tests.support.studio import GIT, KEYGEN, Person, git, lamp_room, repository
from tui.cli.commands import run_commands
from tui.wiring import Surroundings

LAYER = "canebrake: 1\nid: my-lamps\ntitle: Mine\nversion: 1.0.0\nextends: {id: lamp-room, version: 1.0.0}\n"


@pytest.fixture
def anna(tmp_path: Path) -> Person:
    return Person.at(tmp_path / "anna")


@pytest.fixture
def place(tmp_path: Path) -> Path:
    folder = tmp_path / "Lamps of 2026"
    folder.mkdir()
    (folder / "lamps.yaml").write_text(lamp_room())
    return folder


def test_a_studio_is_named_after_its_place_and_a_place_is_taken_once(anna: Person, place: Path) -> None:
    assert anna.did("list") == "There is no studio yet. Get one with: canebrake studio get PLACE\n"
    assert "lamps-of-2026 is a studio of yours now" in anna.did("get", str(place))
    again = anna.studio("get", str(place), "--name", "other")
    assert (again.code, "known already, as lamps-of-2026" in again.err) == (2, True)
    ran = anna.studio("get", str(place.parent), "--name", "Not An Id")
    assert (ran.code, "is no name for a studio" in ran.err) == (2, True)
    ran = anna.studio("update", "nobody")
    assert (ran.code, "there are: lamps-of-2026" in ran.err) == (2, True)
    listed = json.loads(anna.did("list", "--json"))["studios"]
    assert [one["name"] for one in listed] == ["lamps-of-2026"]
    anna.did("forget", "lamps-of-2026")
    assert json.loads(anna.did("list", "--json")) == {"studios": []}
    assert not list((anna.home / "studios").iterdir())
    assert (place / "lamps.yaml").exists()


def test_a_packed_file_is_a_place_too(anna: Person, place: Path) -> None:
    anna.did("pack", str(place / "lamps.yaml"), "-o", "lamps.zip")
    assert "lamps is a studio of yours now, got from lamps.zip" in anna.did("get", "lamps.zip")
    (place / "lamps.yaml").write_text(lamp_room("1.1.0", "rare"))
    anna.did("pack", str(place / "lamps.yaml"), "-o", "lamps.zip", "--force")
    assert "common (0.20) → rare (0.02)" in anna.did("update", "--yes")
    ran = anna.studio("publish", str(place / "lamps.yaml"), "lamps")
    assert (ran.code, "pack makes a new one" in ran.err) == (2, True)
    anna.write("lamps.zip", "no longer")
    ran = anna.studio("update")
    assert (ran.code, "it is no bundle; what was taken before is still there" in ran.err) == (2, True)


def test_a_ruleset_of_a_studio_is_extended_by_id_and_goes_along_when_packed(
    anna: Person, place: Path
) -> None:
    anna.write("mine.yaml", LAYER)
    assert anna.run("check", "mine.yaml").code == 1
    anna.did("get", str(place))
    assert anna.run("check", "mine.yaml").code == 0
    assert "lamps.yaml" in anna.did("pack", "mine.yaml", "-o", "mine.zip")


def test_two_studios_with_one_id_are_told_apart_and_never_guessed(
    anna: Person, place: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other"
    other.mkdir()
    (other / "l.yaml").write_text(lamp_room(common="rare"))
    anna.did("get", str(place), "--name", "ours")
    said = anna.did("get", str(other), "--name", "theirs")
    assert "lamp-room@theirs (lamp-room alone is another): 1.0.0" in said
    ran = anna.run("check", "lamp-room")
    assert ran.code == 2
    assert "several studios have a ruleset 'lamp-room'; say which is meant: lamp-room@ours and" in ran.err
    assert anna.run("compare", "lamp-room@ours", "lamp-room@theirs", "--no-advice").code == 1
    anna.write("mine.yaml", LAYER)
    ran = anna.run("check", "mine.yaml")
    assert ran.code == 1
    assert "the studios ours and theirs each have another lamp-room 1.0.0" in ran.out


def test_nothing_from_a_studio_stands_in_the_place_of_what_ships(anna: Person, place: Path) -> None:
    before = anna.run("weigh", "bassoon", "--given", "crow-muffled=yes", "--json").out
    (place / "lamps.yaml").write_text(lamp_room("1.0.0").replace("id: lamp-room", "id: bassoon"))
    assert "bassoon@ours (bassoon alone is another)" in anna.did("get", str(place), "--name", "ours")
    assert anna.run("weigh", "bassoon", "--given", "crow-muffled=yes", "--json").out == before
    assert anna.run("check", "bassoon@ours").out == "bassoon@ours: no problems\n"
    layer = "canebrake: 1\nid: x\ntitle: X\nversion: 1.0.0\nextends: {id: bassoon, version: 1.0.0}\n"
    anna.write("x.yaml", layer)
    assert anna.run("weigh", "x.yaml", "--given", "crow-muffled=yes").code == 0
    assert anna.run("weigh", "x.yaml", "--given", "no-light=yes").code == 2
    # A reed that was begun with what ships goes on with the text that it was judged by.
    anna.did("forget", "ours")
    typed = "no\n\n"
    anna.run("interview", "bassoon", "--plain", "--reed", "No. 1", given=typed)
    anna.did("get", str(place), "--name", "ours")
    went = anna.run("interview", "--plain", "--reed", "No. 1", given="")
    assert "Several installed rulesets have the id bassoon (bassoon, bassoon@ours)" in " ".join(
        (went.out + went.err).split()
    )


def test_publishing_refuses_what_does_not_pass_and_says_why(anna: Person, place: Path) -> None:
    anna.write("slip.yaml", lamp_room("2.0.0").replace("[no-light]", "[no-lihgt]"))
    ran = anna.studio("publish", "slip.yaml", str(place), "--yes")
    assert (ran.code, "slip.yaml has errors" in ran.err) == (1, True)
    anna.write("new.yaml", lamp_room("1.0.0", "rare"))
    ran = anna.studio("publish", "new.yaml", str(place), "--yes")
    assert (ran.code, "give yours another version" in ran.err) == (2, True)
    ran = anna.studio("publish", "new.yaml", "nowhere", "--yes")
    assert (ran.code, "there is no folder" in ran.err) == (2, True)
    assert (place / "lamps.yaml").read_text() == lamp_room()
    (place / "layer.yaml").write_text(
        LAYER.replace("{id: lamp-room, version: 1.0.0}", "{file: lamps.yaml}") + "withdraw: [pulled-plug]\n"
    )
    gone = lamp_room("2.0.0").replace("pulled-plug", "loose-plug")
    anna.write("new.yaml", gone)
    ran = anna.studio("publish", "new.yaml", str(place), "--yes")
    assert (ran.code, "layer.yaml would not pass check there" in ran.err) == (2, True)
    anna.write("new.yaml", lamp_room("2.0.0", "rare"))
    ran = anna.studio("publish", "new.yaml", str(place), given="no\n")
    assert (ran.code, "Nothing was published" in ran.out) == (1, True)
    anna.did("publish", "new.yaml", str(place), given="yes\n")
    assert (place / "lamps.yaml").read_text() == lamp_room("2.0.0", "rare")
    assert not (place / "new.yaml").exists()


@pytest.mark.parametrize("kind", ["folder", "git"])
def test_no_file_of_somebody_else_is_replaced_because_it_has_the_same_name(
    kind: str, anna: Person, tmp_path: Path
) -> None:
    if kind == "git" and GIT is None:
        pytest.skip("git is not installed")
    torches = lamp_room().replace("id: lamp-room", "id: torches")
    if kind == "git":
        place = tmp_path / "bare.git"
        git(tmp_path, "clone", "--quiet", "--bare", str(repository(
            tmp_path / "work", rules__yaml=lamp_room(), ci__yaml="on: push\n")), str(place))  # fmt: skip
    else:
        place = tmp_path / "place"
        place.mkdir()
        (place / "rules.yaml").write_text(lamp_room())
        (place / "ci.yaml").write_text("on: push\n")
    anna.write("rules.yaml", torches)
    ran = anna.studio("publish", "rules.yaml", str(place), "--yes", "--quick")
    assert (ran.code, "rules.yaml is the file of lamp-room there; rename yours" in ran.err) == (2, True)
    anna.write("ci.yaml", torches)
    ran = anna.studio("publish", "ci.yaml", str(place), "--yes", "--quick")
    assert (ran.code, "has another file called 'ci.yaml'; rename yours" in ran.err) == (2, True)
    anna.write("what?.yaml", torches)
    ran = anna.studio("publish", "what?.yaml", str(place), "--yes", "--quick")
    assert (ran.code, "the name 'what?.yaml' holds one of" in ran.err) == (2, True)
    anna.write("torches.yaml", torches)
    anna.did("publish", "torches.yaml", str(place), "--yes", "--quick")


def test_publishing_asks_first_how_the_ruleset_behaves_unless_it_must_be_quick(
    anna: Person, place: Path
) -> None:
    anna.write("new.yaml", lamp_room("1.1.0"))
    said = anna.studio("publish", "new.yaml", str(place)).out
    assert "no question tells 'pulled-plug' from 'blown-bulb'" in said
    assert said.index("twin-causes") < said.index("this would change")
    assert "twin-causes" not in anna.studio("publish", "new.yaml", str(place), "--quick").out
    assert (place / "lamps.yaml").read_text() == lamp_room()


def test_a_licence_that_does_not_go_with_the_base_stops_publishing_until_it_is_settled(
    anna: Person, place: Path, tmp_path: Path
) -> None:
    (tmp_path / "out").mkdir()
    anna.did("get", str(place))
    anna.write("mine.yaml", LAYER + "licence: CC-BY-4.0\n")
    ran = anna.studio("publish", "mine.yaml", str(tmp_path / "out"), "--yes")
    assert ran.code == 1
    assert (
        "A work changed from CC-BY-SA-4.0 may not be shared under CC-BY-4.0. That is orientation" in ran.err
    )
    assert not list((tmp_path / "out").iterdir())
    anna.did("publish", "mine.yaml", str(tmp_path / "out"), "--yes", "--licence-is-settled")
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"mine.yaml", "lamps.yaml"}
    anna.write("more.yaml", LAYER.replace("my-lamps", "more-lamps") + "licence: CC-BY-SA-4.0\n")
    anna.did("publish", "more.yaml", str(tmp_path / "out"), "--yes")


def test_a_base_at_the_place_is_not_touched_in_passing_and_both_go_in_one_command(
    anna: Person, place: Path
) -> None:
    anna.did("get", str(place))
    anna.write("mine.yaml", LAYER)
    anna.did("publish", "mine.yaml", str(place), "--yes")
    anna.write("lamps.yaml", lamp_room("1.1.0", "rare"))
    ran = anna.studio("publish", "lamps.yaml", str(place), "--yes")
    assert (ran.code, "mine.yaml would not pass check there" in ran.err) == (2, True)
    (place / "mine.yaml").unlink()
    anna.did("publish", "lamps.yaml", str(place), "--yes")
    ran = anna.studio("publish", "mine.yaml", str(place), "--yes")
    assert (ran.code, "publish both in one command, or stand on the one that is there" in ran.err) == (
        2,
        True,
    )
    assert (place / "lamps.yaml").read_text() == lamp_room("1.1.0", "rare")
    anna.write("lamps.yaml", lamp_room("1.2.0", minutes=7))
    anna.write("mine.yaml", LAYER.replace("version: 1.0.0}", "version: 1.2.0}"))
    said = anna.did("publish", "mine.yaml", "lamps.yaml", str(place), "--yes")
    assert "Published my-lamps 1.0.0, lamp-room 1.2.0 to" in said
    assert (place / "lamps.yaml").read_text() == lamp_room("1.2.0", minutes=7)


def test_what_is_shared_must_be_whole_without_the_readers_other_studios(
    anna: Person, place: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other"
    other.mkdir()
    (other / "mine.yaml").write_text(LAYER)
    anna.did("get", str(place))
    ran = anna.studio("get", str(other))
    assert (ran.code, "mine.yaml has errors" in ran.err) == (1, True)


def test_another_text_under_the_id_and_version_of_what_ships_is_pointed_out_and_not_used(
    anna: Person,
) -> None:
    fake = lamp_room("1.0.0").replace("id: lamp-room", "id: bassoon")
    anna.write("bassoon.yaml", fake)
    anna.write("layer.yaml", LAYER.replace("{id: lamp-room", "{id: bassoon"))
    assert anna.run("weigh", "layer.yaml", "--given", "crow-muffled=yes").code == 0
    assert "not the bassoon 1.0.0 that ships here" in " ".join(
        anna.did("pack", "bassoon.yaml", "-o", "a.zip").split()
    )
    ran = anna.studio("pack", "bassoon.yaml", "layer.yaml", "-o", "b.zip")
    assert (ran.code, "two different files are called 'bassoon.yaml'" in ran.err) == (2, True)


def test_a_proposal_needs_to_know_what_it_began_from(anna: Person, place: Path) -> None:
    anna.write("mine.yaml", lamp_room("1.0.1", "rare"))
    ran = anna.studio("propose", "mine.yaml", "-o", "p.zip")
    assert (ran.code, "say it with --base" in ran.err) == (2, True)
    anna.did("propose", "mine.yaml", "--base", str(place / "lamps.yaml"), "-o", "p.zip")
    anna.did("get", str(place))
    anna.did("copy", "lamp-room", "copy.yaml")
    ran = anna.studio("propose", "copy.yaml", "-o", "q.zip")
    assert (ran.code, "nothing to propose" in ran.err) == (1, True)
    ran = anna.studio("copy", "lamp-room", "copy.yaml")
    assert (ran.code, "is there already" in ran.err) == (2, True)
    ran = anna.studio("copy", "bassoon", "b.yaml")
    assert (ran.code, "new FILE --from bassoon" in ran.err) == (2, True)
    anna.did("pack", "copy.yaml", "-o", "plain.zip")
    ran = anna.studio("merge", "plain.zip", "mine.yaml")
    assert (ran.code, "is no proposal" in ran.err) == (2, True)


def test_a_copy_is_known_after_its_studio_went_on(anna: Person, place: Path) -> None:
    anna.did("get", str(place))
    anna.did("copy", "lamp-room", "copy.yaml")
    for number in range(1, 13):
        (place / "lamps.yaml").write_text(lamp_room(f"1.{number}.0", minutes=number))
        anna.did("update", "--yes")
    assert len(list((anna.home / "studios").iterdir())) == 12
    anna.write("copy.yaml", lamp_room("1.0.1", "rare"))
    said = anna.did("propose", "copy.yaml", "-o", "p.zip")
    assert "how_common: common (0.20) → rare (0.02)" in said
    assert "minutes" not in said
    anna.write("teachers.yaml", (place / "lamps.yaml").read_text())
    ran = anna.studio("merge", "p.zip", "teachers.yaml", "-o", "teachers.yaml")
    assert ran.code == 1
    assert "version" in ran.out.split("In conflict")[1]
    assert (anna.folder / "teachers.yaml").read_text() == lamp_room("1.12.0", "rare", 12)


def test_an_update_asks_and_no_answer_is_no(anna: Person, place: Path) -> None:
    anna.did("get", str(place))
    (place / "lamps.yaml").write_text(lamp_room("1.1.0", "rare"))
    (place / "more.yaml").write_text(lamp_room().replace("id: lamp-room", "id: torches"))
    ran = anna.studio("update")
    assert ran.code == 1
    assert "new: Lamps in our room (torches 1.0.0)" in ran.out
    assert "Type yes to go on" in ran.err
    anna.did("update", given="YES\n")
    (place / "lamps.yaml").unlink()
    assert "gone: Lamps in our room (lamp-room 1.1.0)" in anna.did("update", given="y\n")
    (place / "more.yaml").write_text("canebrake: 1\n")
    ran = anna.studio("update", "--yes")
    assert (ran.code, "more.yaml has errors, and so nothing was taken" in ran.err) == (1, True)
    assert anna.run("check", "torches").code == 0
    ran = anna.studio("back", "lamps-of-2026")
    assert ran.code == 0
    ran = anna.studio("back", "lamps-of-2026")
    assert ran.code == 0
    ran = anna.studio("back", "lamps-of-2026")
    assert (ran.code, "no version before this one" in ran.err) == (2, True)


def _hold(path: Path, ready: object, done: object) -> None:
    with alone(path, "held"):
        ready.set()  # type: ignore[attr-defined]  # an Event, which has no public type of its own
        done.wait(60)  # type: ignore[attr-defined]  # the same


def test_two_at_once_do_not_change_the_studios(anna: Person, place: Path) -> None:
    context = multiprocessing.get_context("spawn")
    ready, done = context.Event(), context.Event()
    holder = context.Process(target=_hold, args=(anna.home / "studios.hold", ready, done))
    holder.start()
    try:
        assert ready.wait(60)
        ran = anna.studio("get", str(place))
        assert (ran.code, "another canebrake is at work on your studios" in ran.err) == (2, True)
        with pytest.raises(DiskError), alone(anna.home / "studios.hold", "held"):
            pass
    finally:
        done.set()
        holder.join(60)
    anna.did("get", str(place))


@pytest.mark.skipif(GIT is None, reason="git is not installed")
def test_a_working_copy_and_a_place_that_refuses_are_told(tmp_path: Path, anna: Person) -> None:
    shared = empty_repository(tmp_path / "shared.git")
    anna.write("l.yaml", lamp_room())
    anna.did("publish", "l.yaml", str(shared), "--yes")
    git(tmp_path, "clone", "--quiet", str(shared), "work")
    anna.write("l.yaml", lamp_room("1.1.0", "rare"))
    ran = anna.studio("publish", "l.yaml", str(tmp_path / "work"), "--yes")
    assert (ran.code, "is a working copy; publish to the bare repository" in ran.err) == (2, True)
    held = shared / "refs" / "heads" / "main.lock"  # as git holds a branch while it writes it
    held.write_text("")
    ran = anna.studio("publish", "l.yaml", str(shared), "--yes")
    assert (ran.code, "did not take it" in ran.err) == (2, True)
    held.unlink()
    anna.did("publish", "l.yaml", str(shared), "--yes")


@pytest.mark.parametrize("kind", ["folder", "git"])
def test_who_was_slower_is_told_and_overwrites_nobody(kind: str, tmp_path: Path, anna: Person) -> None:
    if kind == "git" and GIT is None:
        pytest.skip("git is not installed")
    shared = tmp_path / "shared"
    if kind == "git":
        empty_repository(shared)
    else:
        shared.mkdir()
    ben = Person.at(tmp_path / "ben")
    ben.write("l.yaml", lamp_room())
    ben.did("publish", "l.yaml", str(shared), "--yes")
    ben.write("l.yaml", lamp_room("1.1.0", minutes=5))
    mine = anna.write("l.yaml", lamp_room("1.2.0", "rare"))

    class Slow(StringIO):
        def readline(self, _size: int | None = -1, /) -> str:  # type: ignore[override]  # its base says bytes
            ben.did("publish", "l.yaml", str(shared), "--yes")  # while anna is still reading
            return "yes\n"

    out, err = StringIO(), StringIO()
    environ = environment(anna.home, **anna.env)
    around = Surroundings(stdin=Slow(), stdout=out, stderr=err, environ=environ)
    assert run_commands(["studio", "publish", str(mine), str(shared)], around) == 2
    assert "somebody published to" in err.getvalue()
    anna.did("get", str(shared))
    assert "1.1.0" in anna.did("list")


def empty_repository(folder: Path) -> Path:
    folder.mkdir()
    git(folder, "init", "--bare", "--quiet", "--initial-branch=main")
    return folder


@pytest.mark.skipif(KEYGEN is None, reason="ssh-keygen is not installed")
def test_a_signature_says_whose_key_signed_these_bytes_and_nothing_else_passes(
    anna: Person, place: Path
) -> None:
    assert KEYGEN is not None
    for name in ("anna", "mallory"):
        words = [KEYGEN, "-q", "-t", "ed25519", "-N", "", "-C", name, "-f", str(anna.folder / f"{name}-key")]
        subprocess.run(words, check=True, capture_output=True)
    key = (anna.folder / "anna-key.pub").read_text()
    anna.write("signers", f"anna@example.org {key}")
    anna.did("pack", str(place / "lamps.yaml"), "-o", "a.zip")
    ran = anna.studio("look", "a.zip", "--signers", "signers")
    assert (ran.code, "there is no signature a.zip.sig" in ran.err) == (2, True)
    anna.did("sign", "a.zip", "--key", "anna-key")
    assert "was not looked at" in anna.studio("look", "a.zip").err
    ran = anna.studio("unpack", "a.zip", "-o", "out", "--signers", "signers")
    assert ran.code == 0
    assert "Signed by anna@example.org: whoever holds the key" in ran.err
    assert "Whether the rules are good it does not say" in " ".join(ran.err.split())

    (place / "lamps.yaml").write_text(lamp_room("1.0.1"))
    anna.did("pack", str(place / "lamps.yaml"), "-o", "a.zip", "--force")
    ran = anna.studio("unpack", "a.zip", "-o", "other", "--signers", "signers")
    assert (ran.code, "the signature does not fit this file" in ran.err) == (2, True)
    anna.did("sign", "a.zip", "--key", "mallory-key")
    ran = anna.studio("unpack", "a.zip", "-o", "other", "--signers", "signers")
    assert (ran.code, "by a key that signers does not list" in ran.err) == (2, True)
    assert not (anna.folder / "other").exists()
    other_use = [KEYGEN, "-q", "-Y", "sign", "-f", "anna-key", "-n", "file", "a.zip"]
    (anna.folder / "a.zip.sig").unlink()
    subprocess.run(other_use, check=True, capture_output=True, cwd=anna.folder)
    ran = anna.studio("look", "a.zip", "--signers", "signers")
    assert (ran.code, "the signature does not fit this file" in ran.err) == (2, True)
    ran = anna.studio("sign", "a.zip", "--key", "no-key")
    assert (ran.code, "it was not signed" in ran.err) == (2, True)


def test_the_help_names_every_action_once() -> None:
    ran = Person(ROOT).studio("--help")
    for name in ("pack", "look", "unpack", "get", "list", "update", "pin", "unpin", "back", "forget", "copy",
                 "propose", "merge", "publish", "sign"):  # fmt: skip
        assert [line.split()[0] for line in ran.out.splitlines() if line.startswith("    ")].count(name) == 1
