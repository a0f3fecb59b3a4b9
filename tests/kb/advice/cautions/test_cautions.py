"""Which words speak of danger. The examples are our own; which are dangerous: common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.advice.advise import advise
from kb.advice.cautions.danger_words import danger_words
from kb.advice.chances.learn import learn
from kb.nouns.advice import AdviceSettings, CheckInHand, PlanNode
from kb.nouns.cautions import Caution
from tests.kb.advice.cautions.heard import cautions_in, dangers_named
from tests.kb.advice.makers import candidate, check, in_hand

DANGEROUS = {
    "brakes": (
        "brakes let go on me at the bottom of the hill",
        "brake pedal goes to the floor", "brak pedle soft n sinks at lites", "no brakes this morning",
        "had to pump the brakes twice to stop", "breaks failed comin downhill", "brake hose burst",
        "puddle of brake fluid under lf wheel", "pedal rock hard, brake assist gone",
        "brakes locked up at 40 and smoking", "pads down to metal, metal on metal", "takes forever to stop",
        "have to stand on the brakes to get it to stop", "brake pedal needs two pumps every time",
    ),
    "steering": (
        "steers like a dump truck all of a sudden",
        "steering locked while driving", "power steering went out in a turn", "tie rod popped off",
        "steering wheel came loose", "cant steer it", "wheel went stiff turning left", "ball joint broke",
        "steers on its own toward the shoulder", "car darts left and right, cant hold it in the lane",
    ),
    "fuel": (
        "strong gas smell in cabin", "gas dripping under rear", "fuel line leaking on exhaust",
        "smells like a gas station inside", "puddle of gas in the garage",
    ),
    "smoke": (
        "smoke from under the hood", "smoking under the dash", "smells like burning plastic",
        "wire melted behind the fuse box", "caught fire", "sparks under dash",
        "battery cable glowing red hot", "sparks when i plug in the lighter",
    ),
    "drive_battery": (
        "hv battery smoking", "hissing from the drive battery", "hybrid sat in flood water",
        "traction battery hot and smells", "charge port melted",
        "popping and hissing from under the floor of my ev",
    ),
    "runaway": (
        "throttle stays open, had to put it in neutral",
        "gas pedal stuck", "car took off on its own", "throttle stuck wide open",
        "accelerates by itself, foot on brake",
    ),
    "wheel": ("front wheel about to fall off", "lug nuts loose", "two lug nuts missing", "wheel came off",
        "wheel bearing so bad the wheel leans", "wheel came clean off in the parking lot",
    ),
    "tire": ("bulge in sidewall", "cords showing on rf tire", "tire has a bubble on the side",
        "steel belts coming thru on lr",
    ),
    "oil_pressure": ("red oil light flickers at idle", "oil pressure gauge drops to zero",
    "oil light came on"),
    "overheating": ("engine overheats in traffic", "temp gauge in the red", "steam from the hood",
        "gets hot when i sit in the drive thru",
    ),
    "exhaust": (
        "exhaust blowing in under the dash",
        "exhaust smell inside the car", "exhaust fumes give me a headache",
    "co alarm went off in van",
        "get dizzy and headaches driving it",
    ),
    "park": ("rolls in park", "wont hold in park", "rolled away after i put it in park", "pops out of park",
        "parking pawl not grabbing, rolls",
    ),
    "misfire": (
        "check engine light flashing and shaking", "cel blinks when i accelerate",
        "check engine light came on and is now blinking", "mil flashing under load",
    ),
    "battery_12v": ("rotten egg smell from the battery", "12v battery swollen",
    "rotton eggs smell under hood"),
    "traffic": ("stalls in traffic", "dies on the hwy", "lost power merging on the freeway",
        "stalls at red lights", "shut down at 65 with no warning",
    ),
}  # fmt: skip

HARMLESS = (
    "trailer hitch quote, hard to stop rattling", "gas light stays on after fill up",
    "exhaust leak tick cold, dash light on",
    "brake pedal pulses from 60", "rear brakes squeal backing out", "brakes grind backing out first thing",
    "brake light bulb out", "parking brake wont hold on a hill", "brake fluid flush due", "brakes squeak",
    "red triangle, hybrid wont go to ready", "key light flashing, no crank", "gear light flashing",
    "turn signal flashes fast", "glow plug light blinking", "check engine light on, gear light flashing",
    "cel on and turn signal blinks fast", "since you flashed it shifts late, cel on",
    "hard start after gettin gas",
    "lost 3 miles per gallon since the reflash", "accel feels slow since you flashed it", "gas cap light on",
    "smoke test shows leak at pcv hose", "blue smoke at startup", "fires right up then dies", "misfire p0302",
    "no smoke, no smell, just wants a check", "does not overheat", "never smells of gas",
    "brakes are fine, no brake noise", "steering wheel off center after alignment",
    "steering wheel shakes at 65", "steering wheel buttons dead", "tire pressure light", "lug nut key lost",
    "hubcap fell off", "oil change light on", "oil pressure sensor leaking", "heater blows cold",
    "runs fine when hot, hard start", "wont come out of park", "rattles in parking lot",
    "rolls back on hill before it takes off", "exhaust rattle", "muffler hanger broke",
    "12v dead after 3 days",
    "smells like cigarette smoke inside", "window wont stop", "coolant smell, no drop in level",
    "customer smokes, ash tray full", "smoked tail lights installed", "hub cap missing",
    "overheated last summer, thermostat replaced, fine since", "overheated once two years ago and fixed",
    "evap smoke found leak at canister vent", "wiper arm bent", "3-4 flare, fluid black and smells burned",
    "hard start, fuel rail loses pressure overnight", "brakes looked at, nothing found",
    "oil pressure gauge slow to come up on first start",
    "car surges forward back forward back on the long grade",
)  # fmt: skip


@pytest.mark.parametrize(
    ("text", "danger"), [(text, danger) for danger, texts in DANGEROUS.items() for text in texts]
)
def test_a_danger_is_seen_in_many_wordings(text: str, danger: str) -> None:
    assert danger in dangers_named(text)


@pytest.mark.parametrize("text", HARMLESS)
def test_what_only_sounds_like_danger_is_not_called_so(text: str) -> None:
    assert not cautions_in(text) & {"do_not_drive", "misfire", "stop_charging"}


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("airbag light on after seat was out", "airbag"),
        ("hybrid battery fan loud", "high_voltage"),
        ("security light on, no crank, key not recognized", "immobilizer"),
    ],
)
def test_work_for_trained_people_is_named(text: str, key: str) -> None:
    assert key in cautions_in(text)


@given(st.sampled_from([text for texts in DANGEROUS.values() for text in texts]), st.sampled_from(HARMLESS))
def test_a_danger_is_seen_whatever_harmless_line_follows(danger: str, harmless: str) -> None:
    """Two lines of a complaint: what stands in a line of its own takes nothing back."""
    assert dangers_named(danger) <= dangers_named(f"{danger}. Also says this. {harmless}")


def test_what_another_sentence_says_too_is_not_said_twice() -> None:
    assert dangers_named("smoke from the hv battery, hissing") == {"drive_battery", "high_voltage"}


@given(st.sampled_from([text for texts in DANGEROUS.values() for text in texts]), st.integers(60, 200))
def test_a_danger_at_the_end_of_a_long_complaint_is_seen(danger: str, before: int) -> None:
    assert dangers_named(danger) <= dangers_named("customer states that " * (before // 3) + ". " + danger)


@given(st.text(max_size=300))
def test_any_text_is_read(text: str) -> None:
    cautions_in(text)


def test_every_danger_has_a_rule_and_a_sentence_of_its_own() -> None:
    assert {rule.danger for rule in danger_words().rules} == {
        danger.name for danger in danger_words().dangers
    }
    sentences = [danger.sentence for danger in danger_words().dangers]
    assert len(set(sentences)) == len(sentences)
    assert all(one.startswith("Do not drive") for one in sentences if "do_not_drive" in one)


def checks_in(node: PlanNode | None) -> set[str]:
    if node is None:
        return set()
    own = {node.key} if node.do == "check" else set()
    return own | checks_in(node.yes) | checks_in(node.no) | checks_in(node.then)


@pytest.mark.parametrize(
    ("caution", "asked"),
    [
        (Caution("do_not_drive", "brakes"), False),
        (Caution("do_not_drive", "brakes", cleared_by="tech", cleared_because="bled"), True),
        (Caution("misfire", "engine lamp"), True),
    ],
)
def test_a_check_on_the_road_is_planned_only_where_it_may_be_driven(caution: Caution, asked: bool) -> None:
    """The check is all but certain and costs next to nothing, so that any plan which may ask it does."""
    sure = CheckInHand(check("drive", 9.9, 0.1, minutes=0.1), (1,), needs_road=True)
    concern = in_hand((candidate(1),), (sure,), cautions=(caution,))
    told = advise(concern, learn((), (sure.definition,), AdviceSettings()), AdviceSettings())
    assert told.cautions == (caution,)
    assert checks_in(told.plan) == ({"drive"} if asked else set())


@pytest.mark.parametrize(
    ("complaint", "is_told"),
    [
        ("roll up to a stop light and the ac gets warm", False),
        ("rolls to a stop sign, blower quits", False),
        ("stop light goes out", False),
        ("stop lights went out over bumps", False),
        ("third stop light cuts out", False),
        ("loses power when i roll up to a stop light", True),
        ("dies when i roll up to a stop light", True),
        ("car goes out at a stop light", True),
        ("rolled to a dead stop on the highway", True),
    ],
)
def test_a_stop_light_is_a_place_to_stall_at_or_a_lamp(complaint: str, is_told: bool) -> None:
    assert ("test_off_road_first" in cautions_in(complaint)) is is_told
