"""The colours: two themes of our own, measured so that every text has a contrast of 4.5 or more."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="lamp",
    dark=True,
    primary="#d9a05b",
    secondary="#7fb3a8",
    accent="#e8c07a",
    warning="#e3b341",
    error="#e5746b",
    success="#8fbf7a",
    foreground="#ece5da",
    background="#181512",
    surface="#1f1b17",
    panel="#2b2520",
    variables={
        "text-success": "#a3d48c",
        "text-warning": "#f0c654",
        "text-error": "#f49a91",
        "text-primary": "#edba7c",
        "text-secondary": "#97cbbf",
        "text-accent": "#f3d498",
        "quiet-text": "#b3a797",
        "wet-text": "#86c5e8",
        "cursor-bar": "#4a3a28",
        "cursor-bar-away": "#322b24",
        "footer-key-foreground": "#edba7c",
    },
)

LIGHT = Theme(
    name="daylight",
    dark=False,
    primary="#8a5416",
    secondary="#2d6b60",
    accent="#7a4a00",
    warning="#8a5b00",
    error="#a8271d",
    success="#336b1f",
    foreground="#2a231b",
    background="#faf6ee",
    surface="#f4eee3",
    panel="#e8dfd0",
    variables={
        "text-success": "#2b5f18",
        "text-warning": "#774c00",
        "text-error": "#9c2017",
        "text-primary": "#774408",
        "text-secondary": "#205a50",
        "text-accent": "#6b4100",
        "quiet-text": "#5f5446",
        "wet-text": "#0f5480",
        "cursor-bar": "#f0d9b4",
        "cursor-bar-away": "#e9e0d0",
        "footer-key-foreground": "#774408",
    },
)
