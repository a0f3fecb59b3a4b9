"""What the owner answers when the shop is set up: of ten reflashes sold on a bulletin alone, how many cured.

A guess of k of 10 is a mean of (k + 1/2) / 11 (design, section 5); the answer is worth 8 vehicles.
"""

from __future__ import annotations

import pytest
from alembic import command
from sqlalchemy import text

from kb.advice.chances import starting_chance
from kb.desk import settings
from kb.desk.access import sign_ins
from kb.desk.access.passwords import chosen
from kb.desk.bay.advice import learning
from kb.desk.context import CONSOLE, RunningShop
from kb.errors import BadInput
from kb.nouns.advice_settings import Guess
from kb.nouns.people import Actor
from kb.records.migrate import alembic_config, migrate
from tests.factories import actor_of

PASSWORD = "correct horse 7"
CURED, WEIGHT = "prior_cured_in_10", "prior_weight"
ANY_UPDATE = 1


def set_up(shop: RunningShop, cured_in_10: str) -> Actor:
    with shop.writing(CONSOLE) as desk:
        code = sign_ins.issue_set_up_code(desk)
    with shop.writing() as desk:
        return sign_ins.set_up_first_owner(
            desk, "maria", "Maria O.", chosen(PASSWORD), code=code, cured_in_10=cured_in_10
        ).actor


def starts_at(shop: RunningShop, actor: Actor) -> tuple[Guess, float]:
    with shop.reading(actor) as desk:
        return settings.current(desk).starting(), starting_chance.mean(
            learning.learned(desk).starts, ANY_UPDATE
        )


@pytest.mark.parametrize(("typed", "k"), [("2", 2.0), ("0", 0.0), ("9.5", 9.5)])
def test_an_answer_moves_the_start_and_says_whose_it_is(
    sqlite_shop: RunningShop, typed: str, k: float
) -> None:
    owner = set_up(sqlite_shop, typed)
    guess, mean = starts_at(sqlite_shop, owner)
    assert guess == Guess(k, 8.0, "the owner's answer")
    assert mean == pytest.approx((k + 0.5) / 11, abs=0.005)
    with sqlite_shop.reading(owner) as desk:
        view = next(one for one in settings.list_settings(desk) if one.definition.key == CURED)
    assert (view.value, view.author, view.version) == (k, "maria", 1)


def test_who_is_not_sure_starts_as_ever_and_may_answer_later_or_take_it_back(
    sqlite_shop: RunningShop,
) -> None:
    owner = set_up(sqlite_shop, "")
    assert starts_at(sqlite_shop, owner) == (Guess(5, 4), pytest.approx(0.5))
    for value, start in (("3", Guess(3, 8, "the owner's answer")), (" ", Guess(5, 4)), (None, Guess(5, 4))):
        with sqlite_shop.writing(owner) as desk:
            settings.change_setting(desk, CURED, value, "")
        assert starts_at(sqlite_shop, owner)[0] == start
    with sqlite_shop.writing(owner) as desk:
        settings.change_setting(desk, WEIGHT, 20, "forty on file")
        settings.change_setting(desk, CURED, 4, "")
        with pytest.raises(BadInput):
            settings.change_setting(desk, "window_days", "", "")
    assert starts_at(sqlite_shop, owner)[0] == Guess(4, 20, "the owner's answer")


def test_an_answer_that_is_none_keeps_the_shop_unset_and_the_code_good(sqlite_shop: RunningShop) -> None:
    for wrong in ("11", "-1", "most", "nan"):
        with pytest.raises(BadInput) as refused:
            set_up(sqlite_shop, wrong)
        assert set(refused.value.fields) == {CURED}
        assert "0 to 10" in str(refused.value) or wrong == "most"
    with sqlite_shop.reading() as desk:
        assert sign_ins.first_run_open(desk)
    assert set_up(sqlite_shop, "4").role == "owner"


@pytest.mark.both_databases
def test_a_number_that_an_older_shop_had_set_keeps_its_weight(shop: RunningShop) -> None:
    owner = actor_of(shop, "owner")
    with shop.writing(owner) as desk:
        settings.change_setting(desk, CURED, 3, "our last ten")
    assert starts_at(shop, owner)[0].weight == 8
    with shop.records.engine.execution_options(beforeflash_writes=True).begin() as connection:
        command.downgrade(alembic_config(connection), "0015")
    migrate(shop.records.engine)
    shop.memory.forget()
    assert starts_at(shop, owner)[0] == Guess(3, 4, "the owner's answer")
    with shop.records.engine.connect() as connection:
        [line] = connection.execute(text("SELECT source_line FROM shop_setting WHERE key = 'prior_weight'"))
    assert line.source_line == "as before: the weight of a guess"
