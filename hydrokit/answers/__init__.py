"""Answers: what a study returns, and the findings and trust that every answer carries."""

from __future__ import annotations

from hydrokit.answers.answer import FORMAT, Answer
from hydrokit.answers.data import as_data, finite_or_none
from hydrokit.answers.finding import Finding, Trust, Verdict, worst
from hydrokit.answers.phrases import Phrase, phrase

__all__ = ["FORMAT", "Answer", "Finding", "Phrase", "Trust", "Verdict", "as_data", "finite_or_none", "phrase", "worst"]
