"""What people write about what they eat, read for what a kitchen must know.

People write freely ("no gluten (coeliac)"). What is recognised becomes allergens and kinds to keep
from them; what is not is never guessed at: the words themselves are shown to who plans the meals.
Reading errs towards keeping a food away: "vegetarian at breakfast" counts at every meal.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from stations.trade.foods import Allergen, Kind

_NO = r"\b(no|not|without|never|free of|avoids?|allerg\w*|intoleran\w*)\b"

# What a word keeps away, wherever it stands. Word stems; common practice, no source.
_ALONE: tuple[tuple[str, frozenset[Allergen], frozenset[Kind]], ...] = (
    (r"\bvegan", frozenset({Allergen.MILK, Allergen.EGGS}), frozenset({Kind.MEAT, Kind.ANIMAL})),
    (r"\bvegetarian|\bveggie", frozenset(), frozenset({Kind.MEAT, Kind.PORK})),
    (r"\bpescatarian", frozenset(), frozenset({Kind.MEAT, Kind.PORK})),
    (r"\bhalal|\bkosher", frozenset(), frozenset({Kind.PORK})),
    (r"\bco?eliac|\bgluten", frozenset(), frozenset({Kind.GLUTEN})),
    (r"\blactose|\bdairy", frozenset({Allergen.MILK}), frozenset()),
)
# What a food's name keeps away where a "no", "without" or "allergy" stands in the same phrase.
_DENIED: tuple[tuple[str, frozenset[Allergen], frozenset[Kind]], ...] = (
    (r"\bmilk", frozenset({Allergen.MILK}), frozenset()),
    (r"\begg", frozenset({Allergen.EGGS}), frozenset()),
    (r"\bshellfish|\bprawn|\bshrimp|\bcrab", frozenset({Allergen.SHELLFISH}), frozenset()),
    (r"(?<!shell)\bfish", frozenset({Allergen.FISH}), frozenset()),
    (r"\bpeanut", frozenset({Allergen.PEANUTS}), frozenset()),
    (r"\bnuts?\b", frozenset({Allergen.TREE_NUTS}), frozenset()),
    (r"\bwheat", frozenset({Allergen.WHEAT}), frozenset()),
    (r"\bsoya?\b", frozenset({Allergen.SOY}), frozenset()),
    (r"\bsesame", frozenset({Allergen.SESAME}), frozenset()),
    (r"\bpork", frozenset(), frozenset({Kind.PORK})),
    (r"\bmeat", frozenset(), frozenset({Kind.MEAT, Kind.PORK})),
    (r"\balcohol|\bwine", frozenset(), frozenset({Kind.ALCOHOL})),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Diet:
    """What was recognised in somebody's words; ``is_read`` is whether anything was."""

    words: str
    allergens: frozenset[Allergen]
    avoids: frozenset[Kind]

    @property
    def is_read(self) -> bool:
        """Whether anything in the words was recognised; if not, a person must read them."""
        return not self.words or bool(self.allergens or self.avoids)


def read_diet(words: str) -> Diet:
    """What to keep from somebody who wrote this about what they eat.

    Phrases are parted at commas, semicolons and full stops; a denial counts in its own phrase.

    Args:
        words: as typed, any length, may be empty.

    Returns: allergens and kinds recognised; the words are kept beside them.

    Raises: nothing.

    >>> diet = read_diet("Sesame and tree nut allergy; vegetarian at breakfast")
    >>> sorted(diet.allergens), sorted(diet.avoids)
    ([<Allergen.SESAME: 'sesame'>, <Allergen.TREE_NUTS: 'tree_nuts'>], \
[<Kind.MEAT: 'meat'>, <Kind.PORK: 'pork'>])
    >>> read_diet("Low salt").is_read
    False

    Source: word stems, common practice.
    """
    allergens: set[Allergen] = set()
    avoids: set[Kind] = set()
    for phrase in re.split(r"[.,;]", words.casefold()):
        listed = (*_ALONE, *_DENIED) if re.search(_NO, phrase) else _ALONE
        for pattern, found, kinds in listed:
            if re.search(pattern, phrase):
                allergens |= found
                avoids |= kinds
    return Diet(words=words.strip(), allergens=frozenset(allergens), avoids=frozenset(avoids))
