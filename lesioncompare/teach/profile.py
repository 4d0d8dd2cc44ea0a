"""Which explanations fit a cat's own coat, skin and life. No score is made of them."""

from collections.abc import Collection

THIN_HAIRED = frozenset({"nose", "ears", "eyelids", "lips"})
FRECKLED_COLOURS = frozenset({"orange", "cream"})
FRECKLED_PATTERNS = frozenset({"tortoiseshell", "calico"})
OLD_YEARS = 9  # [years] lower of the two mean ages quoted for cats with it


def sun_claims(
    *, coat_colour: str, white_areas: Collection[str], pigment: str, outdoor_hours: float | None
) -> tuple[str, ...]:
    """Keys of the claims on sun and skin that fit this cat."""
    keys = []
    white = coat_colour == "white"
    if white:
        keys.append("white_hair")
    elif THIN_HAIRED & set(white_areas):
        keys += ["white_hair", "white_patches"]
    if pigment == "dark" and not white:
        keys.append("dark_skin")
    if keys != ["dark_skin"]:
        keys.append("where_it_sits")
    if outdoor_hours:
        keys.append("outdoors")
    return (*keys, "sill")


def freckle_claims(*, coat_colour: str, coat_pattern: str) -> tuple[str, ...]:
    """Keys of the claims on flat dark spots; empty where they are not usual."""
    freckled = coat_colour in FRECKLED_COLOURS or coat_pattern in FRECKLED_PATTERNS
    return ("freckles", "freckles_not") if freckled else ()


def always_claims(age_years: int | None) -> tuple[str, ...]:
    """Keys of the claims that hold for every cat."""
    age = ("age",) if age_years is not None and age_years >= OLD_YEARS else ()
    return ("first_signs", *age, "small_is_better", "only_a_vet")
