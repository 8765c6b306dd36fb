"""Where work happens, when and by whom: bays, hours, closed days, people; and what became of promises."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from configurator.catalogue.models import STAGES
from shop.jobs.models import Job


class Bay(models.Model):
    """One place that one vehicle or one set of loose parts holds at a time."""

    class Kind(models.TextChoices):
        BAY = "bay", "bay"
        LIFT = "lift", "lift"
        BOOTH = "booth", "booth"
        BENCH = "bench", "bench"

    name = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=6, choices=Kind.choices)
    position = models.PositiveSmallIntegerField(default=0)
    is_open = models.BooleanField("in use", default=True)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class OpeningHours(models.Model):
    """One stretch of working time on one weekday, and how many people work in it."""

    class Weekday(models.IntegerChoices):
        MONDAY = 0, "Monday"
        TUESDAY = 1, "Tuesday"
        WEDNESDAY = 2, "Wednesday"
        THURSDAY = 3, "Thursday"
        FRIDAY = 4, "Friday"
        SATURDAY = 5, "Saturday"
        SUNDAY = 6, "Sunday"

    weekday = models.PositiveSmallIntegerField(choices=Weekday.choices)
    opens = models.TimeField()
    closes = models.TimeField()
    people = models.PositiveSmallIntegerField(
        default=2, validators=[MinValueValidator(1), MaxValueValidator(50)]
    )

    class Meta:
        ordering = ["weekday", "opens"]
        verbose_name_plural = "opening hours"

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.opens:%H:%M} to {self.closes:%H:%M}"

    def clean(self) -> None:
        """Closing comes after opening."""
        if self.opens and self.closes and self.closes <= self.opens:
            raise ValidationError({"closes": "Closing must come after opening."})


class ClosedDay(models.Model):
    """A day without work: a holiday, a fair, stocktaking."""

    day = models.DateField(unique=True)
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["day"]

    def __str__(self) -> str:
        return f"{self.day} {self.name}"


class PlanRules(models.Model):
    """How the workshop plans; one row."""

    minimum_notice_days = models.PositiveSmallIntegerField(
        default=2, validators=[MaxValueValidator(60)], help_text="from today to the first day offered"
    )
    move_minutes = models.PositiveSmallIntegerField(
        default=15, validators=[MaxValueValidator(240)], help_text="to bring a vehicle to another place"
    )

    def __str__(self) -> str:
        return "How the workshop plans"

    @classmethod
    def current(cls) -> PlanRules:
        """Return the row, or what stands until there is one."""
        return cls.objects.first() or cls()


class Person(models.Model):
    """Someone who works: what they can do and, through ``hours`` and ``absences``, when they are there."""

    name = models.CharField(max_length=80, unique=True)
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, models.SET_NULL, related_name="worker", null=True, blank=True
    )
    skills = models.JSONField(default=list, blank=True, help_text="stages of work; empty is every stage")
    is_active = models.BooleanField(_("works here"), default=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "people"

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        """Skills are stages of work."""
        if set(self.skills or []) - set(STAGES):
            raise ValidationError({"skills": _("Choose from the list.")})


class PersonHours(models.Model):
    """One stretch of one weekday in which a person works; without any, they work whenever it is open."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="hours")
    weekday = models.PositiveSmallIntegerField(choices=OpeningHours.Weekday.choices)
    starts = models.TimeField()
    ends = models.TimeField()

    class Meta:
        ordering = ["person", "weekday", "starts"]
        verbose_name_plural = "hours of people"

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.starts:%H:%M} to {self.ends:%H:%M}"

    def clean(self) -> None:
        """The end comes after the start."""
        if self.starts and self.ends and self.ends <= self.starts:
            raise ValidationError({"ends": _("The end must come after the start.")})


class Absence(models.Model):
    """Whole days on which a person is away: one day, or from one to another."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="absences")
    first_day = models.DateField()
    last_day = models.DateField()
    why = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["first_day", "person"]

    def __str__(self) -> str:
        return f"{self.person} {self.first_day} to {self.last_day}"

    def clean(self) -> None:
        """The last day is not before the first."""
        if self.first_day and self.last_day and self.last_day < self.first_day:
            raise ValidationError({"last_day": _("The last day is before the first.")})


class PlanRun(models.Model):
    """Where planning stands; one row. ``asked`` counts wishes, ``begun`` and ``kept`` how far they are met.

    All wishes that come in before planning begins are met by one run.
    """

    asked = models.PositiveIntegerField(default=0)
    begun = models.PositiveIntegerField(default=0)
    kept = models.PositiveIntegerField(default=0)
    thorough = models.BooleanField(default=False, help_text="someone wants the solver to look")
    stage = models.CharField(max_length=20, blank=True)
    percent = models.PositiveSmallIntegerField(default=0)
    begun_at = models.DateTimeField(null=True, blank=True)
    kept_at = models.DateTimeField(null=True, blank=True)
    steps = models.PositiveIntegerField(default=0)
    jobs = models.PositiveIntegerField(default=0)
    problems = models.JSONField(
        default=list, blank=True, help_text="[job number or empty, reason code, which]"
    )

    def __str__(self) -> str:
        return f"{self.kept} of {self.asked} wishes met"

    @property
    def is_waiting(self) -> bool:
        """Whether a wish is not met yet."""
        return self.kept < self.asked


class BrokenPromise(models.Model):
    """A date that was fixed with a customer and that the plan no longer keeps; open until it is settled."""

    class Because(models.TextChoices):
        CLOSED = "closed", _("the workshop is closed then")
        PLACE = "place", _("its place is not free")
        PERSON = "person", _("nobody who can do it is there")
        PARTS = "parts", _("parts come later")
        BEFORE = "before", _("the work before it takes longer")
        NOT_BEGUN = "not begun", _("it was not begun in time")
        UNPLANNED = "unplanned", _("it can no longer be planned")

    class Settled(models.TextChoices):
        HOLDS = "holds", _("the plan keeps it again")
        REBOOKED = "rebooked", _("new dates")
        STOOD_BY = "stood by", _("kept all the same")
        ENDED = "ended", _("the job went another way")

    job = models.ForeignKey(Job, models.CASCADE, related_name="broken_promises")
    because = models.CharField(max_length=10, choices=Because.choices)
    promised_start = models.DateTimeField(null=True, blank=True)
    promised_ready = models.DateTimeField(null=True, blank=True)
    planned_start = models.DateTimeField(null=True, blank=True)
    planned_ready = models.DateTimeField(null=True, blank=True)
    found_at = models.DateTimeField(default=timezone.now)
    settled = models.CharField(max_length=10, choices=Settled.choices, blank=True)
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["found_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["job"], condition=models.Q(settled=""), name="one_open_broken_promise_a_job"
            )
        ]

    def __str__(self) -> str:
        return f"{self.job} {self.because}"


class DateWish(models.Model):
    """Days that a customer would rather come; open until staff take one or say no."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="date_wishes")
    days = models.JSONField(default=list, help_text="ISO days, the best first")
    note = models.CharField(max_length=500, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    answer = models.CharField(
        max_length=8, blank=True, choices=[("taken", _("taken")), ("no", _("not possible"))]
    )
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["made_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["job"], condition=models.Q(answer=""), name="one_open_wish_a_job")
        ]

    def __str__(self) -> str:
        return f"{self.job}: {', '.join(self.days)}"
