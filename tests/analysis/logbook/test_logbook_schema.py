"""The tables as declared are the tables as migrated, and they hold all that motion measures."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import fields
from pathlib import Path

from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine

from analysis.logbook.book import Logbook
from analysis.logbook.schema import APPLICATION_ID, METADATA, REVISIONS, rep
from analysis.motion.results import Rep, TimingSd, Untold


def test_alembic_finds_no_difference_between_migrated_and_declared(book: Logbook, path: Path) -> None:
    engine = create_engine(f"sqlite:///{path}")
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True, "compare_server_default": True})
        assert compare_metadata(context, METADATA) == []
    engine.dispose()


def declarations(path: Path) -> set[tuple[str, str]]:
    with closing(sqlite3.connect(path)) as database:
        rows = database.execute("SELECT type, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
    return {(kind, " ".join(sorted(sql.replace(",", " ").split()))) for kind, sql in rows if "alembic" not in sql}


def test_constraints_indexes_and_triggers_are_the_same_too(book: Logbook, path: Path, tmp_path: Path) -> None:
    # alembic does not compare checks and triggers
    fresh = tmp_path / "declared.db"
    engine = create_engine(f"sqlite:///{fresh}")
    METADATA.create_all(engine)
    engine.dispose()
    assert declarations(path) == declarations(fresh)
    assert sum(kind == "trigger" for kind, _ in declarations(path)) == 8 + 12  # written once; noted, and noted again


def test_every_migration_is_known_and_the_last_one_is_the_present_form() -> None:
    config = Config()
    config.set_main_option("script_location", "analysis.logbook:migrations")
    config.set_main_option("path_separator", "os")
    scripts = ScriptDirectory.from_config(config)
    assert tuple(script.revision for script in scripts.walk_revisions())[::-1] == REVISIONS
    assert scripts.get_heads() == [REVISIONS[-1]]


def test_a_rep_has_a_column_for_everything_that_motion_measures() -> None:
    plain = {field.name for field in fields(Rep)} - {"timing_sd", "untold"}
    sds = {f"{field.name.removesuffix('_s')}_sd_s" for field in fields(TimingSd)}
    whys = {f"{field.name}_why" for field in fields(Untold)}
    assert {column.name for column in rep.columns} == plain | sds | whys | {"id", "set_id", "ordinal", "verdict"}


def test_the_file_is_marked_as_ours_durable_and_checks_references(book: Logbook, path: Path) -> None:
    with closing(sqlite3.connect(path)) as database:
        assert database.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        assert database.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    with book._reading() as connection:
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2  # FULL
