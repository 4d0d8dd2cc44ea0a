"""Words of the weekly visit."""

from typing import Any

from lesioncompare.terms import Verdict

VISIT: dict[str, Any] = {
    "title": "{site}, {name}",
    "step": "Step {number} of {count}: {what}",
    "steps": {
        "photos": "photos",
        "spot": "show the spot",
        "outline": "check the outline",
        "questions": "what your hands say",
        "result": "the result",
    },
    # photos
    "upload": "Choose or take one to three photos",
    "upload_more": "Add another photo: it makes the measurement surer",
    "upload_new": "Choose the new photo",
    "before": "Sticker flat beside the spot, phone straight above, daylight from the side.",
    "before_help": "How to take the photo",
    "enough": "Three photos are enough for one visit.",
    "upload_help": "JPEG or HEIC, from the camera or the gallery.",
    "camera": "Use this device’s camera instead",
    "camera_take": "Take the photo",
    "reading": "Looking at the photo",
    "measuring_spot": "The sticker was found (dashed line). Looking for the spot.",
    "usable_found": "Usable. The sticker was found (dashed line).",
    "usable_place": "Usable. The sticker (dashed line) and the spot were found.",
    "usable_by_hand": "Usable, but the spot was not found by itself: you will be asked to show it.",
    "not_usable": "This photo cannot be used.",
    "retake": "Take it again, then choose the new photo below.",
    "see_photo": "See the photo",
    "remove": "Leave this photo out",
    "removed": "The photo “{photo}” was left out.",
    "photo_label": "Photo {number} with what was found on it",
    "which_sticker": "Which sticker is in the photo?",
    "printed": "the printed one",
    "round": "a round dot",
    "diameter": "Diameter of the dot in mm",
    "diameter_do": "Measure it, or take it from the packet: 8, 12.7 and 19 mm are usual.",
    "taken": "Taken on",
    "no_date": "The file does not say when the photo was taken. Is this the day?",
    # spot
    "spot_title": "Where is {spot}?",
    "spot_do": "Tap the spot to come nearer. Then put a finger on its middle and drag to its edge.",
    "spot_rough": "Roughly is enough: the program looks for the exact edge itself.",
    "spot_label": "Photo to draw a circle on: arrow keys move a cross, Enter sets the circle, plus "
    "and minus change its size",
    "spot_again": "The place was not found in this photo by itself. Please show it once more.",
    "spot_done": "This is the spot",
    "spot_measure": "Looking for the edge of the spot",
    "by_hand": "Draw the edge by hand",
    # outline
    "outline_title": "Is this the edge of {spot}?",
    "outline_label": "Photo with the outline of the spot",
    "outline_yes": "Yes, this is the edge",
    "outline_mend": "Correct it",
    "outline_circle": "Wrong place: show the spot again",
    "outline_next": "Photo {number} of {count}",
    "outline_failed": "No edge could be found in photo {number}.",
    "outline_skip": "Leave this photo out",
    "mend_title": "Correct the edge",
    "mend_do": "Paint what belongs to the spot, or take away what does not. “Pull the line” drags "
    "the edge itself. Two fingers move and zoom.",
    "mend_label": "Outline to correct: arrow keys move a cross, Enter dabs the brush, a adds, e "
    "takes away, z undoes",
    "mend_save": "Use this outline",
    "mend_cancel": "Keep the one before",
    "mend_lost": "Nothing is left of the outline. Undo the last stroke.",
    "measuring": "Measuring",
    "add_spot": "There is another spot here to watch",
    "new_spot": "spot {number}",
    # questions
    "questions_title": "What a photo cannot show",
    "questions_do": "Look and touch gently, if the cat lets you. Skip what you do not know.",
    # result
    "result_first": "This is the first visit",
    "result_first_do": "The spot is measured. From the next visit on, it can be compared.",
    "against_last": "Against last time ({date})",
    "against_start": "Against the start ({date})",
    "compare_with": "Lay today’s photo over",
    "last_time": "last time",
    "the_start": "the start",
    "today": "today",
    "no_picture": "This photo could not be laid over the first one, so there is no picture to "
    "compare.",
    "nothing_usable": "Cannot tell: no photo of this visit could be measured",
    "nothing_usable_do": "Take a new photo today or tomorrow, with the sticker beside the spot.",
    "next": "What to do next",
    "next_photo": "Take the next photo {when} ({date}).",
    "next_now": "The next photo is due now.",
    "show_vet": "Show the vet",
    "divided_alt": "{site} on {date}, laid over the first photo",
    "discard": "Discard this visit",
    "discarded": "The visit was discarded.",
}

RESULT: dict[str, Any] = {
    "verdicts": {
        Verdict.SAME: "Same as before, as far as this can be measured",
        Verdict.CHANGED: "Changed",
        Verdict.UNCONFIRMED: "Odd today: another photo decides",
        Verdict.UNKNOWN: "Cannot tell",
    },
    "means": {
        Verdict.SAME: "Nothing moved by more than it could err and is worth a word. That is no "
        "word on health.",
        Verdict.CHANGED: "Something is not as it was at the start, by more than it could err, and "
        "was seen more than once.",
        Verdict.UNCONFIRMED: "Something is not what the earlier photos would have it. A slip of "
        "the photo is as likely as a change: take another one in the next days.",
        Verdict.UNKNOWN: "The photos differ too much in light, angle or sharpness to compare "
        "them well.",
    },
    "level_means": "Why and what to do is said below. What the photos measured does not take it "
    "back.",
    "of_earlier": "Since the visit of {date}",
    "figures": "{words} {value} % (between {low} and {high} %): {verdict}. A change below "
    "{detectable} % could not be seen.",
    "unknown": "{words}: {verdict}.",
}
