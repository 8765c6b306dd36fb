"""Who may open which address: one table, written out, that an address not in it fails.

``all`` is any staff; ``link`` an address that nobody can guess; ``token`` a monitor's bearer token.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from shop.jobs.states import STAFF_ROLES
from tests.shop import factories

TABLE = """
account                      signed in
calendar                     link
configurator:advice          link
configurator:begin           public
configurator:build           link
configurator:card            link
configurator:compare         link
configurator:confirm         link
configurator:forget_device   public
configurator:list            link
configurator:look_picture    public
configurator:photo           link
configurator:photo_image     link
configurator:photo_remove    link
configurator:photo_rotate    link
configurator:photos          link
configurator:preferences     public
configurator:privacy         public
configurator:section         link
configurator:share           link
configurator:start           public
configurator:start_like      link
configurator:waiting         link
finished:begin               public
finished:index               public
finished:one                 link
finished:photo               link
healthz                      public
login                        public
logout                       public
look_logo                    public
look_sheet                   public
metrics                      token
password_asked               public
password_change              signed in
password_forgotten           public
password_set                 public
prefer                       signed in
readyz                       public
second_factor                signed in
security_txt                 public
set_language                 public
shop:account_deed            manager
shop:act                     all
shop:add_note                all
shop:again                   reviewer manager
shop:all_again               reviewer manager
shop:amend                   reviewer manager
shop:bench                   all
shop:bench_step              all
shop:billing_address         reviewer manager
shop:book_in                 all
shop:book_in_add_photo       reviewer technician manager
shop:book_in_complete        reviewer technician manager
shop:book_in_mark            reviewer technician manager
shop:book_in_photo           all
shop:book_in_remove          reviewer technician manager
shop:bounce_entry            manager
shop:calendar                all
shop:calendar_end            all
shop:calendar_new            all
shop:change_photo            all
shop:change_said             reviewer manager
shop:change_withdrawn        reviewer technician manager
shop:changes                 reviewer technician manager
shop:columns                 manager
shop:correct_contact         reviewer manager
shop:credit_invoice          manager
shop:credits                 buyer manager
shop:customer                reviewer manager
shop:customer_account        reviewer manager
shop:customers               reviewer manager
shop:customers_decide        reviewer manager
shop:customers_part          reviewer manager
shop:customers_same          reviewer manager
shop:dates_back              reviewer manager
shop:dates_fix               reviewer manager
shop:dates_keep              reviewer manager
shop:dates_no                reviewer manager
shop:dates_stand             reviewer manager
shop:difference              reviewer manager
shop:draft                   manager
shop:export_customer         manager
shop:finished                reviewer manager
shop:finished_act            reviewer manager
shop:finished_choose         reviewer manager
shop:finished_consent        reviewer manager
shop:finished_cover          reviewer manager
shop:finished_one            reviewer manager
shop:finished_original       reviewer manager
shop:finished_out            reviewer manager
shop:finished_source         reviewer manager
shop:follow                  reviewer manager
shop:forget_customer         manager
shop:goods_credit            buyer manager
shop:goods_in                buyer manager
shop:goods_trouble           buyer manager
shop:inbox                   all
shop:invoice_paper           reviewer manager
shop:invoices                reviewer manager
shop:issue_invoice           reviewer manager
shop:job                     all
shop:job_dates               reviewer manager
shop:job_documents           all
shop:job_messages            reviewer manager
shop:job_money               reviewer manager
shop:job_notes               all
shop:job_parts               all
shop:job_parts_csv           all
shop:job_parts_zip           all
shop:jobs                    all
shop:jobs_csv                all
shop:look_act                manager
shop:look_begin              manager
shop:look_keep               manager
shop:look_words              manager
shop:looks                   manager
shop:mail_again              reviewer manager
shop:match_entry             manager
shop:measured                reviewer technician manager
shop:measuring_card          all
shop:money                   reviewer manager
shop:money_day               manager
shop:money_export            manager
shop:my_list                 all
shop:new_job                 reviewer manager
shop:not_coming              buyer manager
shop:numbers                 manager
shop:open_or_close           manager
shop:order                   all
shop:order_answer            buyer manager
shop:order_file              all
shop:order_letter            buyer manager
shop:order_new               buyer manager
shop:order_send              buyer manager
shop:order_send_again        buyer manager
shop:orders                  all
shop:owed                    manager
shop:paper                   all
shop:parts                   all
shop:parts_back              buyer technician manager
shop:pay                     reviewer manager
shop:people                  all
shop:people_accounts         manager
shop:people_add              manager
shop:people_remove           manager
shop:person                  manager
shop:person_account          manager
shop:photo                   all
shop:place_order             buyer manager
shop:plan                    all
shop:plan_change             manager
shop:plan_make               reviewer manager
shop:plan_progress           all
shop:plan_setup              manager
shop:privacy                 manager
shop:promises                reviewer manager
shop:range                   buyer manager
shop:range_add               manager
shop:range_columns           buyer manager
shop:range_confirm           buyer manager
shop:range_download          buyer manager
shop:range_draft             buyer manager
shop:range_drop              buyer manager
shop:range_files             manager
shop:range_history           buyer manager
shop:range_list              buyer manager
shop:range_lists             buyer manager
shop:range_prices            buyer manager
shop:range_put_live          buyer manager
shop:range_retire            manager
shop:range_row               buyer manager
shop:range_rows              buyer manager
shop:range_take_back         manager
shop:range_texts             manager
shop:range_throw_away        manager
shop:range_throw_list        buyer manager
shop:range_try               buyer manager
shop:range_version           buyer manager
shop:range_versions          buyer manager
shop:reading_doubt           reviewer technician manager
shop:reading_photo           all
shop:receipt_undo            buyer manager
shop:reduce                  manager
shop:refund                  manager
shop:refund_paid             manager
shop:refund_withdrawn        manager
shop:reopen_entry            manager
shop:replace_part            buyer manager
shop:review                  reviewer manager
shop:set_aside               manager
shop:setting                 manager
shop:setting_undo            manager
shop:settings                manager
shop:settle_doubt            manager
shop:sign_ins                manager
shop:sign_ins_of             manager
shop:split_entry             manager
shop:statement               manager
shop:statements              manager
shop:step_photo              all
shop:stock                   all
shop:stuck                   reviewer manager
shop:take_in                 manager
shop:telephone_yes           reviewer manager
shop:throw_away              manager
shop:told                    manager
shop:undo_payment            manager
shop:unmatched               manager
shop:vehicle                 all
shop:vehicle_add             reviewer manager
shop:vehicle_change          reviewer manager
shop:vehicle_draw            reviewer manager
shop:vehicle_drawn           reviewer manager
shop:vehicle_from_job        reviewer manager
shop:vehicle_measure         reviewer technician manager
shop:vehicles                all
shop:wanted                  reviewer manager
shop:wanted_forget           manager
shop:wanted_mail_again       reviewer manager
shop:wanted_new              reviewer manager
shop:wanted_one              reviewer manager
shop:wanted_photo            reviewer manager
sign_out_everywhere          signed in
tracking:accept              link
tracking:address             link
tracking:answer              link
tracking:cancel              link
tracking:change              link
tracking:change_photo        link
tracking:dates               link
tracking:days                link
tracking:job                 link
tracking:link_sent           public
tracking:new_link            public
tracking:own_photo           link
tracking:paper               link
tracking:showing             link
tracking:unshare             link
tracking:work_photo          link
tracking:phone               link
tracking:mail                link
tracking:photos              link
tracking:photo_away          link
tracking:new_address         link
tracking:pay                 link
tracking:pay_picture         link
tracking:write               link
wanted:ask                   public
wanted:page                  link
wanted:photo                 link
wanted:waiting               public
"""
WHO = {line.split()[0]: " ".join(line.split()[1:]) for line in TABLE.strip().splitlines()}
# Where fewer may press than may look.
PRESSED_BY = {"shop:stock": "buyer manager"}
FILLED = {"path": "x", "job": "K-2026-0001", "slug": "x", "str": "x", "int": "1"}
# What a regular expression in an address wants.
BY_NAME = {"number": "K-2026-0001", "kind": "quote", "form": "csv", "user_id": "1", "name": "shut",
           "deed": "close", "accent": "1f5f8b"}  # fmt: skip


def addresses(at: URLResolver | None = None, route: str = "", space: str = "") -> Iterator[tuple[str, str]]:
    """Yield every named address of the site, the administration's own aside, as name and route."""
    for pattern in (at or get_resolver()).url_patterns:
        here = route + str(pattern.pattern)
        if isinstance(pattern, URLResolver) and not here.startswith("admin/"):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from addresses(pattern, here, inner)
        elif isinstance(pattern, URLPattern) and pattern.name:
            yield space + pattern.name, here


def path_of(route: str) -> str:
    """Fill a route in with something of the right form."""
    plain = re.sub(r"<(\w+):\w+>", lambda m: FILLED[m[1]], route)
    plain = re.sub(r"\(\?P<(\w+)>(?:\[[^\]]*\]|[^()])*\)", lambda m: BY_NAME[m[1]], plain)
    return "/" + re.sub(r"[\^$\\]", "", plain)


def test_every_address_is_in_the_table_and_the_table_names_no_other() -> None:
    assert sorted({name for name, _ in addresses()} ^ set(WHO)) == []


STAFF_PATHS = sorted({(name, path_of(route)) for name, route in addresses() if name.startswith("shop:")})


@pytest.mark.django_db
@pytest.mark.parametrize("role", STAFF_ROLES)
def test_each_role_is_refused_what_the_table_does_not_say(role: str) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(factories.staff(role))
    wrong = [
        (name, path, status)
        for name, path in STAFF_PATHS
        if WHO[name] != "all" and role not in WHO[name].split()
        if (status := client.get(path).status_code) != 403
    ]
    assert wrong == []


@pytest.mark.long
@pytest.mark.django_db
@pytest.mark.parametrize("role", STAFF_ROLES)
def test_each_role_opens_what_the_table_says_and_nothing_else(role: str) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(factories.staff(role))
    wrong = []
    for name, path in STAFF_PATHS:
        for method in (client.get, client.post):
            who = PRESSED_BY.get(name, WHO[name]) if method == client.post else WHO[name]
            may = who == "all" or role in who.split()
            status = method(path).status_code
            if (status == 403) == may or status >= 500:
                wrong.append((name, path, method.__name__, status))
    assert wrong == []


@pytest.mark.django_db
def test_strangers_are_led_to_the_sign_in_whatever_they_try() -> None:
    client = Client()
    wrong = []
    for name, path in STAFF_PATHS:
        for method in (client.get, client.post):
            answer = method(path)
            if answer.status_code != 302 or not answer["Location"].startswith("/sign-in/?next="):
                wrong.append((name, path, answer.status_code))
    assert wrong == []


@pytest.mark.django_db
def test_a_guessed_link_opens_nothing() -> None:
    client = Client()
    paths = [(name, path_of(route)) for name, route in addresses() if WHO[name] == "link"]
    assert len(paths) > 15
    wrong = [
        (name, status) for name, path in paths if (status := client.get(path).status_code) not in (404, 405)
    ]
    assert wrong == []
