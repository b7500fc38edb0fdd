"""A catalogue taken back to an earlier schema, as an earlier program left it."""

from __future__ import annotations

from alembic import command
from alembic.config import Config
from sqlalchemy.engine import Engine

from fitment.shipped import shipped

#: every schema there was, the newest last
SCHEMAS = sorted(path.name[:4] for path in (shipped("migrations") / "versions").glob("0*.py"))


def back_to(engine: Engine, schema: str) -> None:
    """Takes a catalogue down to a schema, with what it holds."""
    config = Config()
    config.set_main_option("script_location", str(shipped("migrations")))
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, schema)
