"""The number of the newest migration, on its own so that asking for it loads no database layer."""

#: a test holds it to the migrations folder
SCHEMA = "0005"
