"""An outfit file that does not hold together is refused with key and reason, all problems at once."""

import pytest

from station.errors import FileError
from station.outfit import load_outfit

RING = """
[ring]
numbering = "round"
studs = [
    { number = 1, place = "front", half = "front", joint = true, long = true },
    { number = 2, place = "rear", half = "rear" },
]
"""
NUT_STEP = """
[[steps]]
id = "%s"
section = "dressing"
title = "Nuts"
how = "by hand"
needs = [%s]
nuts = { mark = "%s", studs = [%s] }
"""


def problems(text: str) -> tuple[tuple[str, str], ...]:
    with pytest.raises(FileError) as caught:
        load_outfit(text.encode(), "made-up.toml")
    assert all(line.startswith("made-up.toml: ") for line in str(caught.value).splitlines())
    return caught.value.problems


def only(text: str) -> tuple[str, str]:
    found = problems(text)
    assert len(found) == 1, found
    return found[0]


def changed(text: str, old: str, new: str) -> str:
    assert old in text
    return text.replace(old, new, 1)


def with_nuts(text: str, *steps: str) -> str:
    """Return the small outfit with a ring of two studs and steps that mark its nuts, before the release."""
    ids = ", ".join(f'"{step.split(chr(34))[1]}"' for step in steps)
    text = changed(text, 'needs = ["helmet-on"]', f'needs = ["helmet-on", {ids}]')
    return text + "".join(steps) + RING


TIGHTENED = (
    NUT_STEP % ("on", "", "hand_tight", "1, 2"),
    NUT_STEP % ("tight", '"on"', "wrenched", "1, 2"),
    NUT_STEP % ("tried", '"tight"', "tried", "1, 2"),
)


def test_the_small_outfits_pass_as_they_stand(small_text: str) -> None:
    """Or the refusals below would say nothing."""
    assert load_outfit(small_text.encode(), "small.toml").file.ring is None
    assert load_outfit(with_nuts(small_text, *TIGHTENED).encode(), "small.toml").file.ring is not None


@pytest.mark.parametrize(
    ("old", "new", "key", "reason"),
    [
        ('title = "Hood"', 'titel = "Hood"', "steps[1].titel", "unknown key; did you mean 'title'?"),
        ("format = 1", "format = 2", "format", "input should be 1 (found 2)"),
        ("optional = true", 'optional = "yes"', "steps[1].optional", "input should be a valid boolean"),
        ("every_days = 10", "every_days = -3", "pieces[2].test.every_days", "greater than or equal to 1"),
        ('roles = ["supervisor"]', 'roles = ["boss"]', "steps[3].roles[1]", "input should be 'tender'"),
        ('id = "hood-on"', 'id = "Hood on"', "steps[1].id", "string should match pattern"),
        ('section = "undressing"', 'section = "later"', "steps[4].section", "input should be 'connecting'"),
        ('needs = ["webbing"]', 'needs = ["weebing"]', "steps.hood-on.needs", "did you mean 'webbing'?"),
        ('uses = ["helmet"]', 'uses = ["hat"]', "steps.helmet-on.uses", "no piece is called 'hat'"),
        ('piece = "harness"', 'piece = "harnes"', "items.webbing.piece", "did you mean 'harness'?"),
        ('bars = ["webbing"]', 'bars = ["dive"]', "holds.pull-test.bars", "no item or step is called 'dive'"),
        ('test_of = "harness"', 'test_of = "belt"', "holds.pull-test.test_of", "no piece is called 'belt'"),
        ('test_of = "harness"', 'until = ["x"]', "holds.pull-test.until", "no item or step is called 'x'"),
        ('test_of = "harness"', 'same_stamp = ["x"]', "holds.pull-test.same_stamp", "no piece is called 'x'"),
        ('test_of = "harness"', "", "holds.pull-test", "has no condition"),
        ('test_of = "harness"', 'test_of = "helmet"', "holds.pull-test.test_of", "has no test"),
        ('test_of = "harness"', 'same_stamp = ["helmet"]', "holds.pull-test.same_stamp", "not a stamped one"),
        ('bars = ["webbing"]', 'bars = ["valve"]', "holds.pull-test", "'valve' can never be overridden"),
        ('bars = ["webbing"]', 'bars = ["go"]', "holds.pull-test", "a hold on 'go' must be absolute"),
        ('bars = ["webbing"]', 'bars = ["left-surface"]', "holds.pull-test", "must be absolute"),
        ("always = true", "", "items", "must have always = true"),
        ("release = true", "", "steps", "one step must be the release to dive (found 0"),
        ('roles = ["supervisor"]', "", "steps.go", "of the supervisor alone"),
        ('needs = ["inspection", "hood-on"]', "", "steps.go.needs", "does not wait for 'valve'"),
        ('section = "undressing"', 'section = "ladder"', "steps.helmet-off.needs", "must wait for 'go'"),
        ('id = "webbing"', 'id = "ladder"', "items and steps.ladder", "is a reserved name"),
        ('id = "helmet-off"', 'id = "go"', "items and steps.go", "is used more than once"),
        ('id = "harness"', 'id = "helmet"', "pieces.helmet", "is used more than once"),
    ],
)
def test_each_fault_is_named_by_key_and_reason(
    small_text: str, old: str, new: str, key: str, reason: str
) -> None:
    found = problems(changed(small_text, old, new))
    assert any(where == key and reason in why for where, why in found), found


def test_a_circle_is_named_step_by_step(small_text: str) -> None:
    text = changed(small_text, 'needs = ["webbing"]', 'needs = ["go"]')
    assert only(text) == (
        "needs",
        "the order runs in a circle: hood-on needs go needs helmet-on needs hood-on",
    )


def test_a_step_that_needs_itself_is_a_circle(small_text: str) -> None:
    text = changed(small_text, 'needs = ["webbing"]', 'needs = ["hood-on"]')
    assert only(text) == ("needs", "the order runs in a circle: hood-on needs hood-on")


def test_two_circles_are_both_named(deep_sea_bytes: bytes) -> None:
    text = changed(deep_sea_bytes.decode(), 'needs = ["collar-on"]', 'needs = ["collar-on", "straps-on"]')
    text = changed(text, 'needs = ["lifeline-lashed"]', 'needs = ["lifeline-lashed", "exhaust-valve-set"]')
    assert [why for _, why in problems(text)] == [
        "the order runs in a circle: washers needs straps-on needs washers",
        "the order runs in a circle: telephone-check needs exhaust-valve-set needs telephone-check",
    ]


def test_a_section_that_needs_itself_is_a_circle(small_text: str) -> None:
    text = changed(small_text, 'remedy = "put-right"', 'remedy = "put-right"\nneeds = ["inspection"]')
    assert only(text) == ("needs", "the order runs in a circle: webbing needs webbing")


def test_all_problems_are_listed_at_once(small_text: str) -> None:
    text = changed(small_text, 'needs = ["webbing"]', 'needs = ["weebing", "wet"]')
    text = changed(text, 'uses = ["helmet"]', 'uses = ["hat"]')
    assert [key for key, _ in problems(text)] == [
        "steps.hood-on.needs",
        "steps.hood-on.needs",
        "steps.helmet-on.uses",
    ]


def test_undressing_and_dressing_do_not_wait_for_one_another(small_text: str) -> None:
    text = changed(small_text, 'needs = ["inspection", "hood-on"]', 'needs = ["inspection", "helmet-off"]')
    assert ("steps.helmet-on.needs", "'helmet-off' is on the other side of the dive") in problems(text)


def test_studs_are_numbered_from_one_without_a_gap(small_text: str) -> None:
    text = changed(with_nuts(small_text, *TIGHTENED), "number = 2", "number = 3")
    assert ("ring.studs", "must be numbered 1 to 2 in order (found 1, 3)") in problems(text)


def test_nuts_of_studs_that_are_not_there(small_text: str) -> None:
    text = with_nuts(small_text, *TIGHTENED).replace(RING, "")
    assert ("steps.on.nuts.studs", "not on the ring: 1, 2") in problems(text)


@pytest.mark.parametrize(
    ("runs", "found"), [("[[1]]", "1"), ("[[1, 2], [2]]", "1, 2, 2"), ("[[1, 2, 3]]", "1, 2, 3")]
)
def test_runs_cover_the_studs_of_their_step(small_text: str, runs: str, found: str) -> None:
    text = changed(
        with_nuts(small_text, *TIGHTENED),
        '"wrenched", studs = [1, 2]',
        f'"wrenched", studs = [1, 2], runs = {runs}',
    )
    assert only(text) == (
        "steps.tight.nuts.runs",
        f"must name each stud of the step once (studs 1, 2, runs {found})",
    )


def test_every_nut_is_put_on_wrenched_and_tried(small_text: str) -> None:
    steps = (*TIGHTENED[:2], NUT_STEP % ("tried", '"tight"', "tried", "2"))
    assert only(with_nuts(small_text, *steps)) == ("ring.studs", "no step marks these tried: 1")


@pytest.mark.parametrize(
    ("steps", "key", "reason"),
    [
        (
            (*TIGHTENED[:2], NUT_STEP % ("tried", '"on"', "tried", "1, 2")),
            "steps.tried.needs",
            "come after it",
        ),
        (
            (
                TIGHTENED[0],
                TIGHTENED[2].replace('"tight"', '"on"'),
                NUT_STEP % ("tight", '"tried"', "wrenched", "1, 2"),
            ),
            "steps.tried.nuts.mark",
            "cannot be tried after hand_tight",
        ),
        ((*TIGHTENED, NUT_STEP % ("off", '"tried"', "off", "1")), "steps.off.nuts.mark", "would be left off"),
        (
            (*TIGHTENED, NUT_STEP % ("off", '"tried"', "off", "2")),
            "steps.off.nuts.studs",
            "only the nut of the long",
        ),
        ((NUT_STEP % ("on", "", "hand_tight", "1, 1, 2"), *TIGHTENED[1:]), "steps.on.nuts.studs", "twice"),
    ],
)
def test_nut_steps_follow_one_another_and_end_tight(
    small_text: str, steps: tuple[str, ...], key: str, reason: str
) -> None:
    found = problems(with_nuts(small_text, *steps))
    assert any(where == key and reason in why for where, why in found), found


def test_only_one_stud_is_the_long_one(small_text: str) -> None:
    text = changed(with_nuts(small_text, *TIGHTENED), 'half = "rear"', 'half = "rear", long = true')
    assert only(text) == ("ring.studs", "more than one long stud: 1, 2")


def test_a_nut_step_is_marked_nut_by_nut_alone(small_text: str) -> None:
    text = changed(
        with_nuts(small_text, *TIGHTENED), 'how = "by hand"', 'how = "by hand"\nsecond_person = true'
    )
    assert only(text)[0] == "steps.on.nuts"


@pytest.mark.parametrize(
    ("data", "reason"),
    [(b"\xff", "not UTF-8 text"), (b"pieces = [", "not valid TOML"), (b"", "missing; this key is required")],
)
def test_what_is_no_outfit_at_all(data: bytes, reason: str) -> None:
    with pytest.raises(FileError, match=reason):
        load_outfit(data, "made-up.toml")


def test_the_shipped_file_keeps_its_safety_rules_absolute(deep_sea_bytes: bytes) -> None:
    """The one hold that may be released is the load test of the belt."""
    outfit = load_outfit(deep_sea_bytes, "deep-sea.toml")
    assert [hold.id for hold in outfit.holds.values() if not hold.absolute] == ["belt-load-test"]
    assert [item.id for item in outfit.items.values() if item.always] == ["non-return-valve-test"]
