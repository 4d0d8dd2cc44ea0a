"""Words of the sticker and help screens."""

from typing import Any

STICKERS = {
    "title": "Stickers",
    "intro": "The sticker tells the program how long a millimetre is and what white looks like.",
    "paper": "Paper",
    "a4": "A4",
    "letter": "Letter",
    "size": "Size of the sticker",
    "size_mm": "{size} mm",
    "size_help": "10 mm for eyelids and gums, 14 mm for nose and ears, 20 mm from further away.",
    "download": "Download the sheet (PDF)",
    "print_how": "Print it at 100 %, without “fit to page”. Cut out one sticker along its edge.",
    "check_title": "What does the long bar measure?",
    "check_do": "Home printers rescale. Lay a ruler on the long bar of the printed sheet and type "
    "what it measures.",
    "check_alt": "Drawing: a ruler lies along the long bar of the printed sheet",
    "check_label": "Length of the bar in mm",
    "check_save": "Save the length",
    "check_saved": "Saved. Visits from now on are read with a bar of {bar} mm.",
    "check_present": "At present: {bar} mm, measured {date}.",
    "check_none": "Not measured yet: 100 mm is assumed, which may be wrong by a few percent.",
    "round_title": "Without a printer",
    "round_do": "Any flat round dot of known diameter will do, such as an office dot of 8 mm. "
    "Colours are then weaker, because the dot has no greys.",
}

GUIDE: dict[str, Any] = {
    "title": "Help",
    "how": "How to take the photo",
    "how_steps": {
        "beside": "Lay or hold the sticker beside the spot, flat, at the same height as the skin. "
        "A finger’s width away is good. Never glue it to the cat.",
        "above": "Hold the phone straight above, about 15 to 25 cm away. Both the spot and the "
        "sticker are in the picture.",
        "light": "Daylight from a window, from the side. No flash, no sun directly on it, no "
        "shadow of your hand across the sticker.",
        "sharp": "Tap the spot on the screen so that it is sharp. Take two or three photos.",
    },
    "alts": {
        "beside": "Drawing: the sticker lies flat beside the spot, a finger’s width away",
        "above": "Drawing: the phone is held level, straight above spot and sticker",
        "light": "Drawing: light comes from a window at the side",
        "sharp": "Drawing: a finger taps the spot on the screen of the phone",
    },
    "stop_if": "Stop when the cat objects. Never hold a cat down for a photo, and never force its "
    "mouth open.",
    "cannot": "What this program cannot see",
    "cannot_list": (
        "what a spot is: only a vet can find out, often only by a sample of tissue",
        "anything under the skin, deep in the mouth or behind the eye",
        "a change smaller than its own error: each result names that size",
        "what happens between two photos, or beside the picture",
    ),
    "go": "When to stop photographing and go to the vet",
    "go_list": (
        "a sore that has not healed within a few days",
        "a spot that bleeds, weeps, smells, or crusts again and again",
        "a spot that is raised, hard, or breaks open",
        "a lump on an eyelid, a lip or a gum",
        "an ear edge that crumbles or loses tissue",
        "gums or whites of the eyes that look yellow: ring today",
        "trouble eating, drooling, or a face that swells: ring today",
    ),
    "privacy": "Where your photos are",
    "privacy_text": "In the folder {folder} on this computer, byte for byte as they came. Nothing "
    "is sent anywhere. Documents made here carry no location.",
    "trust": "How sure are the numbers?",
    "trust_text": "Every number has an interval that should hold the true value 95 times in 100. "
    "Two people drawing round the same spot differ more than most weekly changes, so what counts "
    "is that the same spot is read in the same way each time.",
}
