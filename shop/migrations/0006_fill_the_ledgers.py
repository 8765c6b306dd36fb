"""Keep where the money of jobs stands that were there before; the formula as it was on this day."""

from datetime import date, timedelta
from decimal import Decimal

from django.db import migrations
from django.utils import timezone

NEVER = date(9999, 12, 31)
IN_FULL = ("ready", "handed_over")
OFF = ("declined", "cancelled")
ASKED = ("deposit_due", "deposit_in", "parts_on_order", "parts_in", "booked", "in_the_bay", *IN_FULL, *OFF)
BATCH = 500


def _sums(model, ids):
    found = dict.fromkeys(ids, Decimal(0))
    for job, amount in model.objects.filter(job__in=ids).values_list("job", "amount"):
        found[job] += amount
    return found


def _row(Ledger, job, request, held, waiting, today):
    price = request.total if request else Decimal(0)
    deposit = request.amount if request else Decimal(0)
    # A job that was called off earlier keeps what was not sent back: nobody decided anything else.
    asked = held if job.state in OFF else price if job.state in IN_FULL else deposit
    open_, over = max(Decimal(0), asked - held), max(Decimal(0), held - asked)
    since = timezone.localdate(job.state_since)
    due = (since if job.state in IN_FULL else request.due_on) if request and open_ else NEVER
    closed = job.state in (*OFF, "handed_over")
    return Ledger(
        job=job,
        currency=request.currency if request else "",
        price_cents=int(price * 100),
        asked_cents=int(asked * 100),
        held_cents=int(held * 100),
        outstanding_cents=int(open_ * 100),
        over_cents=int(over * 100),
        to_pay_out_cents=int(waiting * 100),
        is_asked=job.state in ASKED,
        is_open=bool(open_ or over) if closed else request is not None and (job.state in ASKED or held != 0),
        is_to_settle=closed and bool(open_ or over),
        due_on=due,
        late_from=NEVER if due == NEVER or job.state == "ready" else due + timedelta(days=1),
    )


def fill(apps, schema_editor):
    Job, Ledger = apps.get_model("shop", "Job"), apps.get_model("shop", "Ledger")
    models = [apps.get_model("shop", name) for name in ("DepositRequest", "Payment", "Refund", "Settlement")]
    request_model, payment, refund, settlement = models
    ids, today = list(Job.objects.values_list("pk", flat=True)), timezone.localdate()
    for start in range(0, len(ids), BATCH):
        some = ids[start : start + BATCH]
        requests = {row.job_id: row for row in request_model.objects.filter(job__in=some, superseded_at=None)}
        paid, back = _sums(payment, some), _sums(refund, some)
        waiting = dict.fromkeys(some, Decimal(0))
        for job, amount in refund.objects.filter(job__in=some, paid_on=None).values_list("job", "amount"):
            waiting[job] += amount
        rows, settled = [], []
        for job in Job.objects.filter(pk__in=some):
            held = paid[job.pk] - back[job.pk]
            rows.append(_row(Ledger, job, requests.get(job.pk), held, waiting[job.pk], today))
            if job.state in OFF and held > 0:
                settled.append(settlement(job=job, owed=held, lines=[], why="", press=None))
        Ledger.objects.bulk_create(rows)
        settlement.objects.bulk_create(settled)


class Migration(migrations.Migration):
    dependencies = [("shop", "0005_money_runs_to_the_full_price")]
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
