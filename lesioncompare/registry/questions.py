"""What the keeper's hands and nose can tell and a photo cannot: asked at every visit."""

from dataclasses import dataclass, field

from lesioncompare.terms import Level, Part

NO, UNSURE, YES = "no", "unsure", "yes"
ANSWERS = {NO: "No", UNSURE: "Not sure", YES: "Yes"}  # in this order, none preset


@dataclass(frozen=True, slots=True)
class Question:
    """A hands-on question and where a "yes" sends the cat.

    ``told`` is the keeper's sentence made of a yes, ``vet`` the vet's. ``level`` is what a yes
    means anywhere, ``levels`` where it means more on a certain part.
    """

    key: str
    ask: str
    hint: str
    told: str
    vet: str
    level: Level
    source: str
    levels: dict[Part, Level] = field(default_factory=dict)

    def level_of(self, answer: str, part: Part | None = None) -> Level | None:
        """What an answer means; None when it asks for nothing."""
        if answer != YES:
            return None
        return self.level if part is None else self.levels.get(part, self.level)


WARNING_SIGNS = "list of ten warning signs, Veterinary Cancer Society / AVMA"
SORES = "NC State Veterinary Hospital: sores that do not heal within a few days"

QUESTIONS: dict[str, Question] = {
    question.key: question
    for question in (
        Question(
            key="raised",
            ask="Does the spot stand up from the skin when you stroke it?",
            hint="Close your eyes and run a clean fingertip over it.",
            told="You felt that the spot is raised.",
            vet="Keeper reports the spot raised to the touch.",
            level=Level.SHOW,
            levels={Part.EYELID: Level.NOW, Part.GUM: Level.NOW},
            source="Patnaik AK, Mooney S (1988) Vet Pathol 25:105–112, for eyelid and mouth; "
            "elsewhere common practice, no source",
        ),
        Question(
            key="broken",
            ask="Is the skin of the spot broken, or does it bleed?",
            hint="Raw, wet or open counts; so does blood on the bedding.",
            told="You saw that the skin is broken or bleeds.",
            vet="Keeper reports broken skin or bleeding.",
            level=Level.NOW,
            source=WARNING_SIGNS,
        ),
        Question(
            key="crust",
            ask="Is there a crust that comes back after it fell off?",
            hint="Do not pick at it to find out.",
            told="You saw a crust that comes back.",
            vet="Keeper reports a recurring crust.",
            level=Level.NOW,
            source="feline squamous cell carcinoma begins red and crusted: Thomson M (2007) "
            "J Feline Med Surg 9:115–121 (from memory)",
        ),
        Question(
            key="sore",
            ask="Has it been sore for longer than a few days?",
            hint="Sore: red and tender, wet, or licked and rubbed all the time.",
            told="You saw a sore that lasts longer than a few days.",
            vet="Keeper reports a sore persisting beyond a few days.",
            level=Level.NOW,
            source=SORES,
        ),
        Question(
            key="smell",
            ask="Does it smell?",
            hint="Compare with the other side or with healed skin.",
            told="You noticed a smell.",
            vet="Keeper reports an odour.",
            level=Level.SHOW,
            levels={Part.LIP: Level.NOW, Part.GUM: Level.NOW},
            source=WARNING_SIGNS,
        ),
        Question(
            key="swelling",
            ask="Is the skin round it, or the face on that side, swollen?",
            hint="Look from the front and from above.",
            told="You saw a swelling.",
            vet="Keeper reports swelling around the site.",
            level=Level.NOW,
            source=WARNING_SIGNS,
        ),
        Question(
            key="one_sided",
            ask="Is this side thicker or out of shape against the other side?",
            hint="Compare ear with ear, lid with lid, lip with lip; colour does not count here.",
            told="You saw that this side is thicker or out of shape.",
            vet="Keeper reports asymmetry against the opposite side.",
            level=Level.SHOW,
            source="common practice, no source",
        ),
        Question(
            key="yellow",
            ask="Are the gums or the whites of the eyes yellowish?",
            hint="Look by daylight; a yellow lamp makes everything yellow.",
            told="You saw a yellow tinge of gums or eye whites.",
            vet="Keeper reports icteric mucous membranes or sclerae.",
            level=Level.NOW,
            source="common practice, no source",
        ),
    )
}
