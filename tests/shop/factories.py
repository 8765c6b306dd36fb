"""Dull makers of what the shop's tests need; every figure is invented."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.contrib.auth.models import Group, User
from django.utils import timezone

from configurator.builds.evaluation import (
    AxleFit,
    Evaluation,
    FitRow,
    PartLine,
    Price,
    PriceLine,
    Work,
    WorkStep,
)
from configurator.builds.selection import Selection
from configurator.models import Spec, SpecRevision, Workshop
from shop.jobs.opening import open_job
from shop.models import BookIn, Job
from shop.money.ledger import refresh
from shop.parts.shortages import mark_job


def fit_row(**changes: Any) -> FitRow:
    """Return one row: 5.0 mm of clearance where 3.0 are needed, known to within 1.0."""
    fields: dict[str, Any] = {
        "id": "brake_clearance",
        "verdict": "fits",
        "value": 5.0,
        "limit": 3.0,
        "margin": 2.0,
        "tolerance": 1.0,
        "unit": "mm",
        "axle": "front",
        "message": "5.0 mm between caliper and wheel.",
        "source": "common practice",
    }
    return FitRow(**(fields | changes))


def step(key: str, **changes: Any) -> WorkStep:
    """Return one step of an hour in a bay with nothing before it."""
    fields: dict[str, Any] = {
        "key": key,
        "stage": "prep",
        "name": key.replace("-", " ").capitalize(),
        "hands_on_h": 1.0,
        "wait_h": 0.0,
        "resource": "bay",
        "after": (),
        "for_choices": (key,),
        "for_names": (key.capitalize(),),
    }
    return WorkStep(**(fields | changes))


STEPS = (
    step("book-in", stage="book-in", hands_on_h=0.5),
    step("wheels-off", stage="wheels off", resource="lift", after=("book-in",)),
    step(
        "lacquer",
        stage="lacquer",
        resource="booth",
        wait_h=12.0,
        after=("book-in",),
        caution="Wear air-fed breathing protection.",
        paint={"system": "plastic panel", "coat": "lacquer", "finish": "gloss black", "hex": "#101010"},
    ),
    step(
        "front:torque",
        stage="torque",
        resource="lift",
        after=("wheels-off",),
        torque_nm=160.0,
        axle="front",
        caution="Tighten crosswise; check again after 50 to 100 km.",
    ),
    step("final-check", stage="final check", after=("front:torque", "lacquer")),
)


def work(steps: tuple[WorkStep, ...] = STEPS) -> Work:
    """Return the plan of these steps."""
    return Work(
        steps=steps,
        hands_on_h=sum(each.hands_on_h for each in steps),
        critical_h=14.5,
        critical_path=("book-in", "lacquer", "final-check"),
        bay_days=1,
    )


def part(item: str = "wheel-a", **changes: Any) -> PartLine:
    """Return a line of four wheels."""
    fields: dict[str, Any] = {
        "item": item,
        "name": "Wheel A 8 x 18",
        "kind": "wheel",
        "quantity": Decimal(4),
        "unit": "each",
        "unit_price": Decimal("200.00"),
        "amount": Decimal("800.00"),
        "unit_cost_net": Decimal("110.00"),
        "at_cost_of": "customer",
        "returnable": True,
        "supplier": "northwheel",
        "supplier_name": "Northwheel",
        "supplier_ref": "NW-8018",
        "pack_size": Decimal(1),
        "lead_time_days": 5,
        "for_choices": ("front:wheel",),
        "for_names": ("Wheel A",),
        "where": "front and rear axle",
        "why": "chosen",
    }
    return PartLine(**(fields | changes))


def price(total: str = "1190.00", deposit: str = "300.00") -> Price:
    """Return a price of one line, tax 19 per cent."""
    amount = Decimal(total)
    net = (amount / Decimal("1.19")).quantize(Decimal("0.01"))
    line = PriceLine(choice="front:wheel", label="Wheel A", parts=amount, labour=Decimal(0), amount=amount)
    return Price(
        currency="EUR",
        lines=(line,),
        parts=amount,
        labour=Decimal(0),
        total=amount,
        tax_rate_pct=Decimal(19),
        tax=amount - net,
        net=net,
        deposit=Decimal(deposit),
        deposit_why="30 % of the total",
    )


def evaluation(*rows: FitRow, **changes: Any) -> Evaluation:
    """Return an evaluation with these fit rows on the front axle."""
    found = rows or (fit_row(),)
    order = ("no", "unknown", "measure", "fits")
    verdict = next((v for v in order if any(row.verdict == v for row in found)), "fits")
    front = AxleFit(position="front", verdict=verdict, headline="Fits", checks=found, needs=(), derived={})
    fields: dict[str, Any] = {
        "selection": Selection(generation="haldor-2", options=("grille-black",)),
        "catalogue_version": 1,
        "fits": {"front": front},
        "verdict": verdict,
        "parts": (part(),),
        "work": work(),
        "price": price(),
        "names": {"grille-black": "Grille, gloss black"},
        "summary": ("Wheels A 8 x 18", "Grille, gloss black"),
    }
    return Evaluation(**(fields | changes))


def revision(found: Evaluation | None = None, spec: Spec | None = None, **changes: Any) -> SpecRevision:
    """Return a sent revision of a spec of its own."""
    data = (found or evaluation()).model_dump(mode="json")
    if spec is None:
        spec = Spec.objects.create(selection=data["selection"], catalogue_version=1, name="Red van")
    fields: dict[str, Any] = {
        "spec": spec,
        "number": spec.revisions.count() + 1,
        "selection": data["selection"],
        "evaluation": data,
        "catalogue_version": 1,
        "name": "Ida Sommer",
        "email": "ida@customer.example",
        "registration": "XB AB 12",
    }
    return SpecRevision.objects.create(**(fields | changes))


def job(found: Evaluation | None = None, **changes: Any) -> Job:
    """Return a job just opened, with any field then set aside from the rules."""
    made = open_job(revision=revision(found))
    for name, value in changes.items():
        setattr(made, name, value)
    if changes:
        made.save()
        # The rules would have told ledger and shortages of the state.
        refresh(made)
        mark_job(made)
    if made.state == "in_the_bay":
        booked_in(made)
    return made


def booked_in(made: Job) -> BookIn:
    """Put on record that the vehicle came in, with why there are no photos."""
    fields = {"mileage_km": 43_210, "keys": 2, "locking_key": "none", "photos_why": "dull", "note": ""}
    return BookIn.objects.create(job=made, done_at=timezone.now(), **fields)


def job_with(*parts: PartLine, state: str = "deposit_in") -> Job:
    """Return a job whose deposit is in, with these parts to get: else four wheels of one kind."""
    return job(evaluation(parts=parts or (part(),)), state=state)


def staff(*roles: str, name: str = "") -> User:
    """Return a user in these roles."""
    user = User.objects.create_user(name or "-".join(roles) or "nobody", password="dull-but-long-enough")
    user.groups.add(*(Group.objects.get_or_create(name=role)[0] for role in roles))
    return user


def make_workshop(**changes: Any) -> Workshop:
    """Make the dull workshop that tests work for; its IBAN is the registry's example."""
    plain = {
        "name": "Dull Workshop",
        "street": "Mill Lane 1",
        "postcode": "50667",
        "town": "Köln",
        "email": "desk@workshop.example",
        "phone": "+49 221 4710 000",
        "tax_rate_pct": 19,
        "labour_rate_per_h": 90,
        "iban": "DE89370400440532013000",
    }
    return Workshop.objects.create(**{**plain, **changes})
