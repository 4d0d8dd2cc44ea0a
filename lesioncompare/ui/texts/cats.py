"""Words about cats and the places on them that are photographed."""

COATS = {
    "white": "white",
    "cream": "cream",
    "orange": "orange",
    "brown": "brown",
    "grey": "grey",
    "black": "black",
    "mixed": "several colours",
}
PATTERNS = {
    "plain": "one colour",
    "tabby": "tabby (stripes, spots)",
    "tortoiseshell": "tortoiseshell",
    "calico": "calico (with white)",
    "pointed": "pointed (dark face and ears)",
    "bicolour": "with white patches",
}
WHITE_AREAS = {
    "nose": "nose",
    "ears": "ears",
    "eyelids": "eyelids",
    "lips": "lips",
    "elsewhere": "elsewhere",
}
PIGMENTS = {
    "pink": "pink all over",
    "patchy": "pink with dark patches",
    "dark": "dark",
    "unknown": "I do not know",
}

CAT = {
    "title_new": "A new cat",
    "title": "About {name}",
    "intro": "Only the name is needed. The rest helps a vet to read the series.",
    "name": "Name",
    "coat_colour": "Main colour of the coat",
    "coat_pattern": "Pattern",
    "white_areas": "White hair on",
    "pigment": "Skin of nose and lips",
    "birth_year": "Year of birth",
    "neutered": "Neutered",
    "yes": "yes",
    "no": "no",
    "outdoor_hours": "Hours outdoors on a usual day",
    "save_new": "Save and choose a place",
    "saved": "Saved.",
    "remove": "Remove {name} from this computer’s list",
    "remove_note": "Hidden with all photos; you can undo it on the home screen.",
    "removed": "{name} was removed.",
    "bring_back": "Bring back {name}",
}

SITE = {
    "title": "A place to photograph",
    "part": "Which place?",
    "side": "Which side? (the cat’s own left or right)",
    "level": "Upper or lower?",
    "left": "left",
    "middle": "in the middle",
    "right": "right",
    "upper": "upper",
    "lower": "lower",
    "spot": "What do you call the spot?",
    "spot_help": "Your own word, such as “dark dot” or “pink patch”. You can leave it.",
    "spot_default": "the spot",
    "save": "Save and take the first photo",
    "choose": "Choose the place first.",
}
