"""Put what the commands in README.md really print under them, and the glossary into DEVELOPERS.md.

A console block begins with the command; an ``up to`` remark above it names the line before which its output is cut.
``--check`` only compares: exit code 1 where the file is not what it would be.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

from hydrokit.terms import all_terms

README = Path(__file__).parents[2] / "README.md"
DEVELOPERS = README.with_name("DEVELOPERS.md")
_GLOSSARY = re.compile(r"(?<=<!-- glossary -->\n).*?(?=<!-- end of glossary -->)", re.DOTALL)
_OF_SCRIPTS = "Rigs and scripts"
_BLOCK = re.compile(r"(?:<!-- up to: (?P<end>.+?) -->\n)?```console\n\$ hydrokit (?P<command>.*?)\n.*?```", re.DOTALL)


def _output(match: re.Match[str]) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "hydrokit_cli", *shlex.split(match["command"])],
        env={**os.environ, "COLUMNS": "80"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    text, end = done.stdout, match["end"]
    if end:
        text, found, _ = text.partition(f"\n{end}\n")
        if not found:
            raise SystemExit(f"hydrokit {match['command']} prints no line {end!r}")
        text = text.rstrip() + "\n"
    remark = f"<!-- up to: {end} -->\n" if end else ""
    return f"{remark}```console\n$ hydrokit {match['command']}\n{text}```"


def rewritten(text: str) -> str:
    """Return the text with the output of its commands as it is now."""
    return _BLOCK.sub(_output, text)


def with_glossary(text: str) -> str:
    """Return the text with the names of the library as the glossary has them now."""
    rows = ["| name | meaning | unit | sign |", "|---|---|---|---|"]
    for term in all_terms():
        names = ", ".join(f"`{name}`" for name in term.names) or term.word
        if term.names or term.group == _OF_SCRIPTS:
            rows.append(f"| {names} | {term.meaning} | {term.unit} | {term.sign} |")
    return _GLOSSARY.sub(lambda _: "\n".join(rows) + "\n", text)


if __name__ == "__main__":
    for file, make in ((README, rewritten), (DEVELOPERS, with_glossary)):
        before = file.read_text(encoding="utf-8")
        after = make(before)
        if "--check" not in sys.argv:
            file.write_text(after, encoding="utf-8")
        elif after != before:
            raise SystemExit(
                f"{file.name} does not show what the commands print or the glossary says; run: make readme"
            )
