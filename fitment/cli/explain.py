"""``fitment explain`` and ``fitment schema``: what a rule checks, what may be done to a part; the JSON Schemas."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from fitment.cli.common import Json, say, say_json, width

if TYPE_CHECKING:
    from fitment.standards.operations import Operation


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("explain")(explain)
    app.command("schema")(schema)


def explain(
    code: Annotated[
        str,
        typer.Argument(
            metavar="RULE",
            help="A rule's code, or an operation ('may I weld this?'); 'all', 'tools', 'operations' list them.",
        ),
    ],
    as_json: Json = False,
) -> None:
    """What a rule checks: formula, source, limits, what it leaves out; or what may be done to a part.

    Example: fitment explain cone-02
    """
    import textwrap
    from dataclasses import asdict

    from fitment.errors import NotFoundFault, nearest
    from fitment.joints.kinds import all_rules
    from fitment.kits.rules import kit_rules
    from fitment.standards.operations import operations, operations_asked

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
    asked = tuple(operations().values()) if code == "operations" else operations_asked(code)
    if code not in rules and asked:
        _operations(asked, as_json, listed=code == "operations")
        return
    if code not in rules:
        words = [word for one in operations().values() for word in one.words]
        raise NotFoundFault(f'no rule "{code}"', mending=nearest(code, [*rules, *words]), code="explain-01")
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


def _operations(asked: tuple[Operation, ...], as_json: bool, listed: bool) -> None:
    """What may be done to a part, each operation's answer first, then what to state, who passes it and the rules."""
    import textwrap
    from dataclasses import asdict

    if as_json:
        told = [asdict(one) | {"first_line": one.first_line} for one in asked]
        say_json({"schema": "fitment.operation/1", "operations": told})
        return
    if listed:
        from fitment.standards.operations import ANSWERS

        say("\n".join(f"{one.title}: {ANSWERS[one.answer]}" for one in asked))
        return

    def wrap(text: str, indent: str, hang: str) -> str:
        return textwrap.fill(text, width(), initial_indent=indent, subsequent_indent=hang, break_on_hyphens=False)

    lines: list[str] = []
    for one in asked:
        lines += [wrap(one.first_line, "", "  "), ""]
        for name, text in (("state", one.state), ("who passes it", one.passes), ("source", one.source)):
            lines += [f"{name}:", wrap(text, "  ", "  "), ""]
        if one.rules:
            lines += ["rules read, in our own words:"]
            lines += [wrap(f"{rule.substance} ({rule.place}) [{rule.id}]", "- ", "  ") for rule in one.rules]
            lines += [""]
    lines.append(wrap("Rules differ and change, and that none is held says nothing: a certifier decides.", "", ""))
    say("\n".join(lines))


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
    name: Annotated[
        str | None, typer.Argument(metavar="[NAME]", help="check, kit, bench-thread ...; none lists them all.")
    ] = None,
) -> None:
    """The JSON Schema of the kit file or of a command's --json output; without a name, the list of them.

    Example: fitment schema check
    """
    import json
    from pathlib import Path

    from fitment.errors import NotFoundFault, nearest

    folder = Path(__file__).with_name("schemas")
    texts = {path.name.removesuffix(".schema.json"): path.read_text("utf-8") for path in folder.iterdir()}
    if name is None:
        from fitment.sheets.tables import table

        rows = [(one, json.loads(text)["title"]) for one, text in sorted(texts.items())]
        say(table(("name", "of what"), rows, width()))
        return
    if name not in texts:
        mending = f"{nearest(name, texts)}; fitment schema lists them"
        raise NotFoundFault(f'no schema "{name}"', mending=mending, code="schema-01")
    say(texts[name])
