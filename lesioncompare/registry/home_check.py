"""The look from nose to tail: what to feel and see, and what each sign asks for.

In the order in which a hand strokes a cat. Unless a sign names a source of its own, that it matters
and how soon is common practice, no source.
"""

from dataclasses import dataclass

from lesioncompare.terms import Level

CUSTOM = "common practice, no source"
BREATHS = (
    "sleeping breaths of cats without heart disease stay below 30 a minute: Ljungvall I et al. "
    "(2014) J Feline Med Surg 16:281–290 (from memory)"
)
JABS = (
    "the “3-2-1” rule of the Vaccine-Associated Feline Sarcoma Task Force: there after 3 months, "
    "over 2 cm, or growing a month later (from memory)"
)
LIDS = "Patnaik AK, Mooney S (1988) Vet Pathol 25:105–112 (from memory)"
SORES = "NC State Veterinary Hospital: sores that do not heal within a few days"
WARNINGS = "list of ten warning signs, Veterinary Cancer Society / AVMA"
NOW, SHOW, WATCH = Level.NOW, Level.SHOW, Level.WATCH


@dataclass(frozen=True, slots=True)
class Sign:
    """Something that can be different, and how much it matters."""

    key: str
    words: str
    level: Level
    source: str = CUSTOM


@dataclass(frozen=True, slots=True)
class Station:
    """One place of the look: what to do there, and what could be different."""

    key: str
    name: str
    how: str
    signs: tuple[Sign, ...]
    caution: str = ""  # key of a claim shown right here
    unnamed: str = "look_again"  # key of the claim on what differs here and has no sign's name


STATIONS: dict[str, Station] = {
    station.key: station
    for station in (
        Station(
            "nose",
            "Nose",
            "Look from the front and from above, in daylight.",
            (
                Sign("nose_sore", "a sore or crust for some days", SHOW, SORES),
                Sign("nose_bleeds", "it bleeds", NOW, WARNINGS),
                Sign("nose_runs", "it runs, or on one side only", SHOW),
                Sign("nose_swollen", "the bridge or the face is swollen", NOW, WARNINGS),
                Sign("nose_colour", "a new spot, or another colour", WATCH),
            ),
        ),
        Station(
            "eyes",
            "Eyes",
            "Look at both together: pupils, whites, lids.",
            (
                Sign("pupils", "one pupil larger than the other", NOW),
                Sign("eye_yellow", "the whites look yellow", NOW),
                Sign("eye_shut", "an eye held shut, or cloudy", NOW),
                Sign("eye_red", "red, or it waters", SHOW),
                Sign("lid_lump", "a lump or a sore on a lid", NOW, LIDS),
            ),
        ),
        Station(
            "ears",
            "Ears",
            "Fold each ear back, smell it, and feel its edge. Compare one with the other.",
            (
                Sign("ear_edge", "the edge has crusts or gaps", SHOW),
                Sign("ear_smell", "it smells", SHOW, WARNINGS),
                Sign("ear_wet", "dark crumbs, or it is wet inside", SHOW),
                Sign("ear_lump", "a lump, or one ear is thicker", SHOW, WARNINGS),
                Sign("ear_hot", "it shakes or tilts its head", SHOW),
            ),
        ),
        Station(
            "mouth",
            "Mouth",
            "Lift the lip on each side with one finger. Look at gums and teeth.",
            (
                Sign("gum_yellow", "gums look yellow, above all at the back", NOW),
                Sign("gum_pale", "gums look white or blue", NOW),
                Sign("mouth_sore", "a sore or a lump", NOW, WARNINGS),
                Sign("drools", "it drools, or there is blood", NOW, WARNINGS),
                Sign("tooth", "a loose or broken tooth, a red rim", SHOW),
                Sign("breath", "the breath smells worse", SHOW, WARNINGS),
            ),
            "no_force",
        ),
        Station(
            "throat",
            "Throat and neck",
            "Stroke down from the jaw with both hands. Feel below it and before the shoulders.",
            (
                Sign("nodes", "a knot, or one side is thicker", SHOW, WARNINGS),
                Sign("swallow", "it swallows badly, or coughs", SHOW, WARNINGS),
            ),
        ),
        Station(
            "breath",
            "Chest and breathing",
            "Do this while it sleeps: count the breaths of 30 seconds, then take twice as many.",
            (
                Sign("open_mouth", "open mouth, or it fights for breath", NOW),
                Sign("fast", "over 30 breaths a minute in sleep", NOW, BREATHS),
                Sign("noise", "it wheezes or rattles", SHOW),
            ),
            "emergency_breath",
            "ring_today",
        ),
        Station(
            "back",
            "Back and sides",
            "Stroke slowly against the hair. Feel for lumps and look at the skin.",
            (
                Sign("lump", "a lump that is new or grows", SHOW, WARNINGS),
                Sign("jab_lump", "a lump where it had an injection", SHOW, JABS),
                Sign("bald", "a bald, red or scaly patch", WATCH),
                Sign("sore_skin", "a sore that does not heal in days", SHOW, SORES),
                Sign("thin", "the spine feels sharper than before", SHOW, WARNINGS),
            ),
        ),
        Station(
            "belly",
            "Belly",
            "Stroke along the rows of nipples with flat fingers. Do not press.",
            (
                Sign("belly_hard", "it is hard or round, or it hurts", NOW),
                Sign("teat_lump", "a lump by a nipple, even a small one", SHOW, WARNINGS),
                Sign("groin_pink", "red or crusted skin in thin hair", SHOW),
            ),
        ),
        Station(
            "legs",
            "Legs and paws",
            "Stroke each leg down to the claws. Compare left with right.",
            (
                Sign("hind_cold", "the hind legs give way or are cold", NOW),
                Sign("limp", "it limps, or a leg is thicker", SHOW, WARNINGS),
                Sign("claw", "a swollen toe, or a claw that bleeds", SHOW),
            ),
        ),
        Station(
            "tail",
            "Under the tail",
            "One look is enough.",
            (
                Sign("tail_sore", "a sore, a swelling or blood", SHOW, WARNINGS),
                Sign("tail_dirty", "it is dirty or wet", WATCH),
            ),
        ),
        Station(
            "tray",
            "Litter tray, bowl and scales",
            "Look at urine and stool, and think back over the last days.",
            (
                Sign("no_urine", "it strains and no urine comes", NOW),
                Sign("blood_urine", "blood in the urine", NOW),
                Sign("stool", "bloody or loose stool for two days", SHOW),
                Sign("no_stool", "no stool for two days", SHOW),
                Sign("no_food", "it has eaten nothing for a day", NOW),
                Sign("thirst", "it drinks or urinates much more", SHOW),
                Sign("weight", "it has lost weight", SHOW, WARNINGS),
            ),
            "emergency_urine",
            "ring_today",
        ),
    )
}
SIGNS: dict[str, Sign] = {sign.key: sign for s in STATIONS.values() for sign in s.signs}
