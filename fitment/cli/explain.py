"""``fitment explain`` and ``fitment schema``: what a rule checks; the published JSON Schemas."""

from __future__ import annotations

from typing import Annotated

import typer

from fitment.cli.common import Json, say, say_json, width


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("explain")(explain)
    app.command("schema")(schema)


def explain(
    code: Annotated[
        str, typer.Argument(metavar="RULE", help="A rule's code; 'all' lists them, 'tools' lists the tools.")
    ],
    as_json: Json = False,
) -> None:
    """What a rule checks: formula, source, limits, and what it does not cover.

    Example: fitment explain cone-02
    """
    import textwrap
    from dataclasses import asdict

    from fitment.errors import NotFoundFault, nearest
    from fitment.joints.kinds import all_rules
    from fitment.kits.rules import kit_rules

    if code == "tools":
        _tools(as_json)
        return
    rules = {rule.code: rule for rule in (*all_rules().values(), *kit_rules())}
    if code == "all":
        if as_json:
            say_json({"schema": "fitment.explain/1", "rules": [asdict(rule) for _, rule in sorted(rules.items())]})
        else:
            say("\n".join(f"{name}  {rule.title}" for name, rule in sorted(rules.items())))
        return
    if code not in rules:
        raise NotFoundFault(f'no rule "{code}"', mending=nearest(code, rules), code="explain-01")
    rule = rules[code]
    if as_json:
        say_json({"schema": "fitment.explain/1", "rules": [asdict(rule)]})
        return
    pages = (
        ("checks", rule.checks),
        ("formula", rule.formula),
        ("source", rule.source),
        ("limits", rule.limits),
        ("does not cover", rule.leaves_out),
    )
    blocks = [f"{rule.code}  {rule.title}"]
    for name, text in pages:
        blocks.append(textwrap.fill(text, width(), initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False))
        blocks[-1] = f"\n{name}:\n{blocks[-1]}"
    say("\n".join(blocks))


def _tools(as_json: bool) -> None:
    """The tools that a reading may name with @, and what each leaves in doubt."""
    from dataclasses import asdict

    from fitment.quantity.tools import all_tools

    if as_json:
        say_json({"schema": "fitment.tools/1", "tools": [asdict(tool) for tool in all_tools()]})
        return
    from fitment.sheets.tables import table

    rows = [
        (tool.code, tool.title, f"{tool.half_width:g} {tool.unit}" if tool.half_width is not None else "pass or fail")
        for tool in all_tools()
    ]
    say(table(("name after @", "tool", "half-width"), rows, width()))


def schema(
    name: Annotated[str, typer.Argument(metavar="NAME", help="kit or check.")],
) -> None:
    """The JSON Schema of the kit file or of a command's --json output.

    Example: fitment schema check
    """
    from pathlib import Path

    import fitment.kits
    from fitment.errors import NotFoundFault, nearest

    folder = Path(fitment.kits.__file__).parent
    known = {path.name.removesuffix(".schema.json"): path for path in folder.glob("*.schema.json")}
    if name not in known:
        raise NotFoundFault(f'no schema "{name}"', mending=nearest(name, known), code="schema-01")
    say(known[name].read_text(encoding="utf-8"))
