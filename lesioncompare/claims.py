"""What the teaching screens tell a reader to do or to believe, each with where it comes from.

Screens show these sentences and no others of their kind; a test looks for advice without a source.
"""

from dataclasses import dataclass

CUSTOM = "common practice, no source"
WHO = "WHO, WMO, UNEP, ICNIRP (2002) Global Solar UV Index: A Practical Guide, WHO/SDE/OEH/02.2"
COST = "COST-713 (2000) UV-Index for the Public, section 4"
HOLLOWAY = "Holloway L (1992) Shadow method for sun protection. Lancet 340:484 (from memory)"
MADRONICH = "Madronich S (2007) Analytic formula for the clear-sky UV index. Photochem Photobiol 83"
GLASS = (
    "J Long Term Eff Med Implants (2004) 14:415–430, review of UV-protective windows and films, "
    "doi:10.1615/jlongtermeffmedimplants.v14.i5.70"
)
DORN = (
    "Dorn CR, Taylor DO, Schneider R (1971) Sunlight exposure and risk of developing cutaneous and "
    "oral squamous cell carcinomas in white cats. J Natl Cancer Inst 46:1073–1078 (as quoted in "
    "reviews)"
)
SCOTT = (
    "Scott DW (1987) Lentigo simplex in orange cats. Companion Anim Pract 1:23–25 (from memory); "
    "sizes after Paradis M, Handbook of Small Animal Practice, chapter 92"
)
CLINICS = "advice of cat clinics"
REVIEW = "reviews of squamous cell carcinoma in cats"
MELANOMA = "Chamel G et al. (2017) J Feline Med Surg 19:351–357; Luna LD et al. (2000) 2:173–181"
SIZE = "nasal tumours of 44 cats, BMC Vet Res (2017), doi:10.1186/s12917-017-1018-3"
NONE_FOUND = "searched for, none found"
PESERICO = (
    "Peserico E, Silletti A, Zattra E, Belloni Fortina A (2012) Where’s the naevus? Inter-operator "
    "variability in the localization of melanocytic lesion border: 12 dermatologists, 77 images"
)


@dataclass(frozen=True, slots=True)
class Claim:
    """One sentence or two that a reader could act on, with its source."""

    key: str
    says: str
    source: str


CLAIMS: dict[str, Claim] = {
    claim.key: claim
    for claim in (
        # the sun page
        Claim(
            "uv_three",
            "From a UV index of 3 on, keep pink skin out of the sun.",
            f"{WHO}: protection from 3, for people; taken over for cats by {CUSTOM}",
        ),
        Claim(
            "clear_sky",
            "These numbers are for a clear sky. Clouds make them smaller, but thin clouds let most "
            "of the UV through.",
            f"{MADRONICH}; {WHO}",
        ),
        Claim(
            "shadow",
            "No numbers at hand? Look at your shadow. When it is shorter than you, the sun is "
            "strong.",
            HOLLOWAY,
        ),
        Claim(
            "ten_to_four",
            "“Indoors from 10 to 16 o’clock” is a custom. Look above where it fits your place and "
            "where it does not: clocks do not follow the sun.",
            f"{CLINICS}; {CUSTOM}",
        ),
        Claim(
            "no_minutes",
            "Nobody knows how much sun a cat’s skin can take. So there are no minutes without risk "
            "here, only more sun or less.",
            f"dose that reddens a cat’s skin: {NONE_FOUND}",
        ),
        Claim(
            "indoors",
            "Keep the cat in while the sun is strong. Early and late are better.",
            f"{WHO}; {CLINICS}",
        ),
        Claim(
            "shade",
            "Give it shade: a roof, a bush, a covered run. Some UV still comes from the open sky.",
            WHO,
        ),
        Claim(
            "bright_ground",
            "Fresh snow throws most of the UV back up. Pale sand throws back some.",
            f"{WHO} (shares from memory)",
        ),
        Claim(
            "high_up",
            "Up in the hills there is more UV: about 8 % more for each 1000 metres.",
            COST,
        ),
        Claim(
            "sill",
            "A window sill in the sun counts too. Glass stops most UV-B, but much of the UV-A "
            "comes through, for as long as the cat sleeps there. This page cannot count it.",
            GLASS,
        ),
        Claim(
            "film",
            "A UV film on the pane, a curtain, or a bed away from the window helps.",
            f"{GLASS}; curtain and bed: {CUSTOM}",
        ),
        Claim(
            "cream",
            "Use no sun cream that your vet has not chosen for this cat. Zinc and salicylates, "
            "which many creams hold, are poison for a cat that licks them off.",
            CLINICS,
        ),
        Claim(
            "tattoo",
            "A tattoo does not protect: the ink lies deeper than the skin at risk.",
            CLINICS,
        ),
        # which cats
        Claim(
            "white_hair",
            "White hair over pink skin lets the sun in. In a study from sunny California, white "
            "cats had the skin cancer that the sun causes 13.4 times as often as other cats. That "
            "compares two groups. Most white cats never get it.",
            DORN,
        ),
        Claim(
            "where_it_sits",
            "Look most at the bridge of the nose, the ear tips and edges, and the eyelids: hair is "
            "thin there. Look at both sides, as one cat can have more than one place.",
            REVIEW,
        ),
        Claim(
            "white_patches",
            "A cat of another colour can have it too, where its hair is white and its skin pink.",
            REVIEW,
        ),
        Claim(
            "dark_skin",
            "Dark skin holds pigment that keeps much of the UV out. It is still worth a look: not "
            "every sore comes from the sun.",
            CUSTOM,
        ),
        Claim(
            "first_signs",
            "It begins small: red skin, flakes, or a crust that comes back. It moves over months. "
            "Do not take it for a scratch: show a sore that stays for more than a few days to the "
            "vet.",
            f"{REVIEW}; NC State Veterinary Hospital for the days",
        ),
        Claim(
            "small_is_better",
            "Go while it is small. In a study of 44 cats with such a growth on the nose, large "
            "ones came back after treatment about 5 times as often.",
            SIZE,
        ),
        Claim(
            "freckles",
            "Orange, cream, tortoiseshell and calico cats often get flat dark spots of 1 to 10 mm "
            "on lips, nose, gums and eyelids. They start early, often in the first year. They grow "
            "and become more, and then rest. That is usual there.",
            SCOTT,
        ),
        Claim(
            "freckles_not",
            "A spot that is raised, sore, crusted, bleeding or fast to change does not belong to "
            "them. Show it to the vet. Pale lumps can matter too.",
            f"{SCOTT}; {MELANOMA}",
        ),
        Claim(
            "only_a_vet",
            "What a spot is, only a vet can find out, often by a sample of tissue. No colour and "
            "no photo tells it.",
            REVIEW,
        ),
        Claim(
            "age",
            "Most cats with it are old, 9 to 12 years on average. Young white cats that live "
            "outdoors get it as well.",
            REVIEW,
        ),
        Claim(
            "outdoors",
            "Every hour in strong sun adds up over the years. Look at the sun page for the hours.",
            f"{CUSTOM}; that sunlight is the cause: {DORN}",
        ),
        # practice
        Claim(
            "eye_errs",
            "Eyes err, and memory errs more. Twelve skin doctors drew round the same moles. On "
            "average two of them differed over 15 % of the area.",
            PESERICO,
        ),
        Claim(
            "practice_only",
            "All photos here are simulated. Being good at this game says nothing about your own "
            "cat: a sore goes to the vet, whatever you think you see.",
            CUSTOM,
        ),
        # the look from nose to tail
        Claim(
            "stop",
            "Stop when the cat objects. Go on tomorrow. Never hold it down.",
            CUSTOM,
        ),
        Claim(
            "no_force",
            "Never force the mouth open. Lift the lip with one finger; that is enough.",
            CUSTOM,
        ),
        Claim(
            "emergency_breath",
            "A cat that fights for breath or breathes with an open mouth is an emergency. Put this "
            "away and ring the vet now, at night too.",
            CUSTOM,
        ),
        Claim(
            "emergency_urine",
            "A cat that strains for urine and none comes is an emergency. Put this away and ring "
            "the vet now, at night too.",
            CUSTOM,
        ),
        Claim(
            "nothing_found",
            "Finding nothing does not mean that nothing is wrong. A cat that seems unwell goes to "
            "the vet.",
            CUSTOM,
        ),
        Claim("ring_now", "Ring the vet now.", CUSTOM),
        Claim("ring_today", "Ring the vet today.", CUSTOM),
        Claim("show_soon", "Show it to the vet in the next days.", CUSTOM),
        Claim(
            "look_again",
            "Look again in three days. Still there? Then show it to the vet.",
            CUSTOM,
        ),
        # help
        Claim("in_doubt", "When in doubt, ring.", f"{CUSTOM}; so is the list that it closes"),
        # habit
        Claim(
            "same_day",
            "Choose one fixed time in the week, by daylight, such as after a meal.",
            CUSTOM,
        ),
        Claim(
            "gaps",
            "A missed week does no harm to the series. A sore does not wait for the next photo.",
            CUSTOM,
        ),
    )
}
