"""Words used on more than one screen, on the home screen, and in what people touch."""

from typing import Any

from lesioncompare.terms import Level

COMMON = {
    "app": "lesioncompare",
    "home": "Home",
    "back": "Back to home",
    "save": "Save",
    "cancel": "Cancel",
    "undo": "Undo",
    "go_on": "Go on",
    "done": "Done",
    "simulated": "Simulated cat: no real animal, every photo was computed.",
    "what_now": "What to do: {do}",
    "could_be": "What else it could be: {things}.",
    "not_found": "This link leads nowhere in this store.",
    "not_found_do": "Go back to the home screen and choose again.",
    "went_wrong": "Something went wrong here. Nothing that was saved is lost.",
    "caution": (
        "Measurements of pictures, not a diagnosis. “No change measured” says nothing about "
        "health. A sore that does not heal within days, bleeds, or crusts again, or a spot that "
        "is raised, goes to the vet whatever these numbers say."
    ),
}

LEVELS = {
    Level.NOTE: "Good to know",
    Level.DOUBT: "Weaker than usual",
    Level.RETAKE: "Please take it again",
    Level.WATCH: "Look again soon",
    Level.SHOW: "Show it to the vet",
    Level.NOW: "Ring the vet now",
}

DATES: dict[str, Any] = {
    "today": "today",
    "yesterday": "yesterday",
    "tomorrow": "tomorrow",
    "days_ago": "{days} days ago",
    "in_days": "in {days} days",
    "weekdays": (
        "Monday",
        "Tuesday",
        "Wednesday",
        "Thursday",
        "Friday",
        "Saturday",
        "Sunday",
    ),
}

HOME = {
    "title": "Your cats",
    "first_title": "One spot, once a week",
    "first_intro": (
        "Photograph the same place on your cat’s skin beside a printed sticker. This program "
        "lays the photos over each other, measures the spot, and says whether it changed by more "
        "than the measurement could err."
    ),
    "first_private": "Everything stays on this computer. No account, no network.",
    "add_cat": "Add your cat",
    "demo": "Look at a simulated cat first",
    "demo_spot": "the dark spot",
    "demo_wait": "Computing and measuring the photos of the simulated cat",
    "demo_missing": "The photos of the simulated cat are not installed.",
    "print": "Print the stickers",
    "add_another": "Add another cat",
    "add_site": "Add a place to photograph",
    "first_site": "Which place on {name} do you want to watch?",
    "edit": "About {name}",
    "photo": "New photo",
    "resume": "Go on with the visit begun {when}",
    "history": "History",
    "last": "Last photo: {when} ({date})",
    "never": "No photo yet.",
    "due": "Next photo: {when} ({date})",
    "due_now": "Next photo: due today",
    "overdue": "Next photo: was due {when}",
    "no_finding": "One visit so far. From the next one on, the spot can be compared.",
    "latest": "Latest",
    "thumb": "{site} of {name} on {date}, laid over the first photo",
    "removed": "{name} was removed.",
    "deleted_site": "“{site}” was removed.",
}

CANVAS = {
    "label": "Photo",
    "nearer": "Nearer",
    "farther": "Farther",
    "whole": "Whole photo",
    "larger": "Larger",
    "smaller": "Smaller",
    "now_drag": "Now put your finger on the middle of the spot and drag to its edge.",
    "circle_set": "Circle drawn.",
    "add": "Add",
    "erase": "Take away",
    "pull": "Pull the line",
    "undo": "Undo",
    "brush_size": "Brush",
    "mended": "Outline changed.",
    "undone": "Last change undone.",
}

DIVIDER = {
    "divider": "Divider",
    "alternate": "Alternate",
    "stop": "Stop",
    "swap": "Swap",
    "outlines": "Outlines",
}

SERVE: dict[str, Any] = {
    "open": "Open {url} in a browser on this computer.",
    "stop": "Stop with Ctrl+C.",
    "exposes": (
        "Shared with the home network: {url}",
        "Everyone on this network can see, add and remove every photo and note in {folder}.",
        "There is no password and no encryption: share only on a network of people you trust,",
        "and stop the program when you are done. A phone can upload, but its browser will not",
        "let the page use the camera by itself over an unencrypted address.",
    ),
}
