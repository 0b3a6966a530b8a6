"""What hydrokit's words mean: terms of the trade, rules, parts, fields, and the words in which an answer trusts itself.

Files: ``glossary`` reads the terms, which are data with sources; ``explaining`` finds a word among them and among the
rules, parts and fields, which explain themselves from their own declarations.
"""

from __future__ import annotations

from hydrokit.terms.explaining import Entry, Explanation, explain, words_by_group
from hydrokit.terms.glossary import Term, all_terms

__all__ = ["Entry", "Explanation", "Term", "all_terms", "explain", "words_by_group"]
