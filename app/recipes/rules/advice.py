"""What speaks for or against something, said in one sentence with its weight and its origin."""

from dataclasses import dataclass

from app.recipes.rules.levels import Level


@dataclass(frozen=True)
class Advice:
    """What to look out for, in words for the owner; `source` says where the rule comes from."""

    level: Level
    words: str
    source: str
