"""The order of statements in plain SQL, for questions that load no database layer; `turns` says why it is this one."""

#: after ORDER BY: the statement in force comes last
STATED_ORDER = (
    "statement.turn, CASE WHEN statement.text IN ('none', 'new', 'used') THEN 0 ELSE 1 END,"
    " statement.dated, statement.uid"
)
