"""Words of the look from nose to tail and of the weekly habit.

The places, signs and what to do about them are in ``lesioncompare.registry`` and
``lesioncompare.claims`` with their sources, not here.
"""

from typing import Any

HOME_CHECK: dict[str, Any] = {
    "title": "{name}, from nose to tail",
    "intro": "Fill this in while you stroke. Every answer is kept at once; you can stop anywhere.",
    "last": "Last look: {when} ({date})",
    "first": "This is the first look.",
    "said": {"usual": "As usual", "other": "Different", "skipped": "Not looked"},
    "which": "What is different?",
    "words": "In your words",
    "normal": "Normal for {name}",
    "normal_help": "Such as: “left pupil has been larger since 2022, the vet knows”.",
    "normal_known": "Normal for {name}: {text}",
    "normal_save": "Remember this as normal",
    "new": "New since {date}: {signs}",
    "new_first": "{signs}",
    "still": "Still there since last time: {signs}",
    "gone": "No longer there: {signs}",
    "differs": "What differs from last time",
    "nothing_differs": "No sign differs from last time.",
    "sum_up": "What to do",
    "no_sign": "You marked no sign.",
    "sign": "{station}: {words}",
    "earlier": "Earlier looks",
    "one_earlier": "{date}: {signs}",
    "none_marked": "no sign marked",
    "place_source": "{sign}: {source}",
    "of_today": "Today’s look from nose to tail: {where}.",
    "begin": "Look from nose to tail",
}

HABIT: dict[str, Any] = {
    "title": "Once a week",
    "intro": "A reminder in your own calendar for the photo of {name}’s {site}.",
    "weekday": "Day",
    "clock": "Time",
    "save": "Save",
    "saved": "Saved. Download the file and open it with your calendar.",
    "present": "At present: {weekday}, {clock}.",
    "download": "Download for the calendar (.ics)",
    "download_note": "It repeats for a year. Opening a newer file replaces the older reminder.",
    "summary": "Photo of the {site}",
    "stop": "No reminder any more",
    "stopped": "The program forgets the reminder; delete it in your calendar, too.",
    "kept": "The weeks so far",
    "kept_count": "Photos in {kept} of the last {count} weeks.",
    "kept_none": "No photo yet.",
    "kept_alt": "Weeks with and without a photo: {spoken}",
    "with": "photo",
    "without": "none",
    "due": "Next photo: {when} ({date})",
    "remind": "Weekly reminder",
}
