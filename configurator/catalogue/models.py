"""What the workshop knows: vehicles, parts, finishes, options, rules and recipes.

Lengths are millimetres, masses kilograms, rim sizes inches (the trade's own unit for rims), money is
Decimal in the workshop's currency. A measured field left empty means *unknown* and is never a pass.
"""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MinValueValidator, RegexValidator
from django.db import models

CODE_PATTERN = r"^[a-z0-9][a-z0-9.+-]*$"
CODE = RegexValidator(CODE_PATTERN, "Use lower-case letters, digits, dot, plus and dash.")
HEX = RegexValidator(r"^#[0-9a-f]{6}$", "Use a colour such as #a1b2c3.")
POSITIVE = MinValueValidator(Decimal(0))


def code_field() -> models.CharField:
    """Return the stable code by which files, specs and jobs name a row."""
    return models.CharField(max_length=60, unique=True, validators=[CODE])


def endpoint_field() -> models.CharField:
    """Return an electronic address for orders: scheme of the EAS code list, colon, identifier."""
    return models.CharField(
        max_length=60,
        blank=True,
        validators=[RegexValidator(r"^[0-9]{4}:[^\s:][^\s]*$", "Write scheme:identifier, as 9930:DE123.")],
        help_text="electronic address for orders, scheme:identifier, such as 9930:DE123456789",
    )


class Workshop(models.Model):
    """The one workshop that runs this site: its address, rates, tax, bank and deposit policy."""

    name = models.CharField(max_length=120)
    street = models.CharField(max_length=120)
    postcode = models.CharField(max_length=20)
    town = models.CharField(max_length=80)
    country = models.CharField(max_length=2, default="DE", help_text="ISO 3166-1 alpha-2")
    email = models.EmailField()
    phone = models.CharField(max_length=40)
    tax_number = models.CharField(max_length=40, blank=True)
    currency = models.CharField(max_length=3, default="EUR", help_text="ISO 4217")
    tax_rate_pct = models.DecimalField(max_digits=5, decimal_places=2, validators=[POSITIVE])
    labour_rate_per_h = models.DecimalField(
        max_digits=8, decimal_places=2, help_text="per hour, tax included", validators=[POSITIVE]
    )
    deposit_pct = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(30))
    deposit_due_days = models.PositiveSmallIntegerField(default=7)
    iban = models.CharField(max_length=34)
    bic = models.CharField(max_length=11, blank=True)
    hours_per_day = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(8))
    terms = models.TextField(blank=True, help_text="Withdrawal and bespoke-goods notice shown before sending")
    terms_version = models.CharField(max_length=20, default="1")
    local_codes = models.TextField(blank=True, help_text="Which local codes the workshop works to")
    legal_name = models.CharField(max_length=120, blank=True, help_text="as registered; empty: the name")
    endpoint = endpoint_field()
    delivery_street = models.CharField(
        max_length=120, blank=True, help_text="where goods are delivered; empty: the address above"
    )
    delivery_postcode = models.CharField(max_length=20, blank=True)
    delivery_town = models.CharField(max_length=80, blank=True)

    def __str__(self) -> str:
        return self.name


class CatalogueVersion(models.Model):
    """One accepted state of the catalogue; specs and jobs remember which one they were made from."""

    number = models.PositiveIntegerField(unique=True)
    digest = models.CharField(max_length=64)
    made_at = models.DateTimeField(auto_now_add=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-number"]

    def __str__(self) -> str:
        return f"catalogue {self.number}"


class Supplier(models.Model):
    """Where parts come from."""

    code = code_field()
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    street = models.CharField(max_length=120, blank=True)
    postcode = models.CharField(max_length=20, blank=True)
    town = models.CharField(max_length=80, blank=True)
    country = models.CharField(max_length=2, default="DE")
    lead_time_days = models.PositiveSmallIntegerField(default=5)
    customer_number = models.CharField(max_length=40, blank=True)
    legal_name = models.CharField(max_length=120, blank=True, help_text="as registered; empty: the name")
    endpoint = endpoint_field()
    language = models.CharField(
        max_length=10,
        default="en-gb",
        choices=[("en-gb", "English"), ("de", "Deutsch")],
        help_text="in which orders are written",
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Item(models.Model):
    """One thing that is bought, stocked, fitted or used up; wheels, tyres and the rest point here."""

    class Unit(models.TextChoices):
        EACH = "each", "each"
        METRE = "m", "metre"
        LITRE = "l", "litre"
        GRAM = "g", "gram"

    code = code_field()
    name = models.CharField(max_length=160)
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="items")
    supplier_ref = models.CharField(max_length=60, blank=True)
    unit = models.CharField(max_length=5, choices=Unit.choices, default=Unit.EACH)
    pack_size = models.DecimalField(
        max_digits=9, decimal_places=3, default=Decimal(1), help_text="Smallest quantity the supplier sells"
    )
    unit_cost = models.DecimalField(max_digits=10, decimal_places=4, help_text="per unit, without tax")
    unit_price = models.DecimalField(max_digits=10, decimal_places=4, help_text="per unit, tax included")
    lead_time_days = models.PositiveSmallIntegerField(null=True, blank=True, help_text="else the supplier's")
    returnable = models.BooleanField(default=True, help_text="the supplier takes it back unused")
    mass_kg = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class PaintSystem(models.Model):
    """Coats that belong together on one kind of surface: plastic panel, bare chrome, hot caliper."""

    code = code_field()
    name = models.CharField(max_length=120)
    surface = models.CharField(max_length=200, help_text="what it is for, in the workshop's words")
    max_temperature_c = models.PositiveSmallIntegerField(null=True, blank=True)
    caution = models.TextField(blank=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class PaintLayer(models.Model):
    """One coat of a system with what the litres follow from."""

    class Stage(models.TextChoices):
        PRIME = "prime", "prime"
        COLOUR = "colour", "colour"
        LACQUER = "lacquer", "lacquer"

    class VocProduct(models.TextChoices):
        PREPARATORY = "preparatory", "preparatory product"
        PRE_CLEANER = "pre-cleaner", "pre-cleaner"
        WASH_PRIMER = "wash-primer", "wash primer"

    system = models.ForeignKey(PaintSystem, models.CASCADE, related_name="layers")
    position = models.PositiveSmallIntegerField()
    stage = models.CharField(max_length=10, choices=Stage.choices)
    item = models.ForeignKey(Item, models.PROTECT, related_name="paint_layers")
    tinted = models.BooleanField(default=False, help_text="mixed to the finish's colour")
    dry_film_um = models.FloatField()
    volume_solids_pct = models.FloatField()
    transfer_efficiency_pct = models.FloatField()
    hands_on_h = models.FloatField(help_text="per booth visit")
    hands_on_h_per_m2 = models.FloatField(default=0)
    wait_h = models.FloatField(help_text="flash-off or cure before the next step")
    voc_subcategory = models.CharField(max_length=1, help_text="Directive 2004/42/EC Annex II B")
    voc_g_per_l = models.FloatField(help_text="ready to use")
    voc_product = models.CharField(
        max_length=12,
        blank=True,
        choices=VocProduct.choices,
        help_text="a product with a limit of its own; empty: any other of the subcategory",
    )

    class Meta:
        ordering = ["system", "position"]
        unique_together = [("system", "position")]

    def __str__(self) -> str:
        return f"{self.system} {self.position} {self.stage}"


class Finish(models.Model):
    """A colour and sheen a part can have; body colours carry the vehicle maker's paint code."""

    class Role(models.TextChoices):
        STANDARD = "standard", "standard finish"
        ACCENT = "accent", "accent colour"
        HEAT = "heat", "heat-resistant"
        BODY = "body", "body colour"

    code = code_field()
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=10, choices=Role.choices)
    hex = models.CharField(max_length=7, validators=[HEX])
    sheen = models.CharField(max_length=10, default="gloss")
    paint_code = models.CharField(max_length=20, blank=True)
    same_colour_as = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="heat_versions", help_text="heat finishes"
    )

    class Meta:
        ordering = ["role", "name"]
        verbose_name_plural = "finishes"

    def __str__(self) -> str:
        return self.name


class Maker(models.Model):
    """Who builds the vehicle."""

    code = code_field()
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Generation(models.Model):
    """One vehicle generation as the workshop fits parts to it."""

    class BodyStyle(models.TextChoices):
        VAN = "van", "van"
        PICKUP = "pickup", "pickup"
        CAR = "car", "car"
        MOTORCYCLE = "motorcycle", "motorcycle"

    code = code_field()
    maker = models.ForeignKey(Maker, models.PROTECT, related_name="generations")
    name = models.CharField(max_length=80)
    body_style = models.CharField(max_length=12, choices=BodyStyle.choices)
    rear_doors = models.CharField(max_length=12, blank=True, help_text="twin, tailgate, drop gate or nothing")
    year_from = models.PositiveSmallIntegerField()
    year_to = models.PositiveSmallIntegerField(null=True, blank=True)
    max_speed_kmh = models.PositiveSmallIntegerField()
    speedometer_reads_high_pct = models.FloatField(
        null=True, blank=True, help_text="how far the original reads high, if measured"
    )
    takes_spacers = models.BooleanField(default=True)
    drive = models.CharField(
        max_length=5, blank=True, help_text="which axles are driven: front, rear or four"
    )
    axle_ratio_limit_pct = models.FloatField(
        null=True,
        blank=True,
        help_text="how far the axles may part from their original pairing; little on four-wheel drive",
    )
    category = models.CharField(max_length=3, blank=True, help_text="UN vehicle category: M1, N1, L3")
    facts = models.JSONField(default=list, help_text="what its vehicles usually have")
    body_finishes = models.ManyToManyField(Finish, related_name="generations")
    body = models.JSONField(default=dict, blank=True, help_text="shapes of the drawing, mm")

    class Meta:
        ordering = ["maker__name", "name"]

    def __str__(self) -> str:
        return f"{self.maker.name} {self.name}"


class Axle(models.Model):
    """An axle as fitment sees it; field names are those of the check_fit contract."""

    class Position(models.TextChoices):
        FRONT = "front", "front"
        REAR = "rear", "rear"

    generation = models.ForeignKey(Generation, models.CASCADE, related_name="axles")
    position = models.CharField(max_length=5, choices=Position.choices)
    wheels = models.PositiveSmallIntegerField(default=2, help_text="1 on a motorcycle")
    mounting = models.CharField(
        max_length=12, default="bolted", help_text="bolted to a hub, or centre_axle as on a motorcycle"
    )
    bolt_count = models.PositiveSmallIntegerField(null=True, blank=True)
    bolt_circle_mm = models.FloatField(null=True, blank=True)
    spigot_diameter_mm = models.FloatField(null=True, blank=True)
    spigot_height_mm = models.FloatField(null=True, blank=True)
    fastener = models.CharField(max_length=4, default="bolt")
    thread = models.CharField(max_length=12, blank=True)
    property_class = models.CharField(max_length=6, blank=True)
    seat = models.CharField(max_length=12, blank=True)
    original_shank_mm = models.FloatField(null=True, blank=True)
    original_seat_thickness_mm = models.FloatField(null=True, blank=True)
    hub_thread_mm = models.FloatField(null=True, blank=True)
    free_depth_behind_hub_mm = models.FloatField(null=True, blank=True)
    stud_length_mm = models.FloatField(
        null=True, blank=True, help_text="what a stud shows in front of the hub; hubs with nuts"
    )
    axle_load_kg = models.FloatField(null=True, blank=True)
    original_track_mm = models.FloatField(null=True, blank=True)
    original_wheel_width_in = models.FloatField()
    original_wheel_diameter_in = models.FloatField()
    original_wheel_offset_mm = models.FloatField()
    original_tyre = models.CharField(max_length=40)
    arch_lip_mm = models.FloatField(null=True, blank=True)
    strut_face_mm = models.FloatField(null=True, blank=True)
    arch_diameter_mm = models.FloatField(null=True, blank=True)
    brake_envelope_mm = models.JSONField(null=True, blank=True, help_text="[radius, y] pairs")
    torque_nm = models.FloatField(null=True, blank=True)
    track_change_limit_pct = models.FloatField(
        null=True, blank=True, help_text="as the vehicle maker or the local code allows; empty: the usual"
    )
    lock_free_mm = models.FloatField(
        null=True, blank=True, help_text="least free space around the original wheel at full lock and bump"
    )
    guard_rear_edge_mm = models.FloatField(
        null=True, blank=True, help_text="how high above the wheel's axis the arch ends behind"
    )
    tolerance_mm = models.FloatField(default=2.0)

    class Meta:
        ordering = ["generation", "position"]
        unique_together = [("generation", "position")]

    def __str__(self) -> str:
        return f"{self.generation} {self.position}"


class Part(models.Model):
    """What every typed part shares: the item it is bought as, whose code it answers to."""

    item = models.OneToOneField(Item, models.CASCADE, primary_key=True, related_name="%(class)s")

    class Meta:
        abstract = True
        ordering = ["item__code"]

    def __str__(self) -> str:
        return self.item.name

    @property
    def code(self) -> str:
        """The item's code."""
        return self.item.code


class Wheel(Part):
    """A rim, as the maker's drawing gives it."""

    maker = models.CharField(max_length=80)
    design = models.CharField(max_length=40, help_text="which of our drawn designs shows it")
    finish = models.ForeignKey(Finish, models.PROTECT, related_name="wheels")
    vehicle_class = models.CharField(max_length=12, default="car", help_text="car or motorcycle")
    width_in = models.FloatField()
    diameter_in = models.FloatField()
    offset_mm = models.FloatField(null=True, blank=True)
    bolt_count = models.PositiveSmallIntegerField(null=True, blank=True, help_text="empty: centre axle")
    bolt_circle_mm = models.FloatField(null=True, blank=True)
    bore_mm = models.FloatField(null=True, blank=True)
    seat = models.CharField(max_length=12, blank=True)
    seat_thickness_mm = models.FloatField(null=True, blank=True)
    load_rating_kg = models.FloatField(null=True, blank=True)
    inside_profile_mm = models.JSONField(null=True, blank=True, help_text="[radius, y] pairs")
    fitted_inside_mm = models.FloatField(
        null=True,
        blank=True,
        help_text="what weights, valve or sensor take inside the barrel; empty: a doubt",
    )
    pocket_depth_mm = models.FloatField(default=0, help_text="pockets between the holes; for studs")


class Tyre(Part):
    """A tyre by its designation (UN R30 or R54 marking)."""

    maker = models.CharField(max_length=80)
    designation = models.CharField(max_length=40)
    vehicle_class = models.CharField(max_length=12, default="car")


class Spacer(Part):
    """One disc; sold and fitted in pairs."""

    thickness_mm = models.FloatField()
    kind = models.CharField(max_length=8, help_text="slip_on or bolt_on")
    bolt_count = models.PositiveSmallIntegerField()
    bolt_circle_mm = models.FloatField()
    wheel_bolt_circle_mm = models.FloatField(null=True, blank=True, help_text="when it changes the circle")
    bore_mm = models.FloatField(null=True, blank=True)
    spigot_height_mm = models.FloatField(null=True, blank=True, help_text="its own; 0: it has none")
    spigot_recess_mm = models.FloatField(default=0, help_text="room inside it for the hub's spigot")
    stud_length_mm = models.FloatField(null=True, blank=True, help_text="its own studs, for nuts")
    material = models.CharField(max_length=9, blank=True, help_text="aluminium or steel")
    steel_inserts = models.BooleanField(default=False, help_text="in its own threads, on a bolt-on one")


class Fastener(Part):
    """A wheel bolt or nut; a locking one goes on each wheel once."""

    kind = models.CharField(max_length=4, help_text="bolt or nut")
    locking = models.BooleanField(default=False)
    thread = models.CharField(max_length=12)
    shank_mm = models.FloatField(null=True, blank=True, help_text="empty for nuts")
    seat = models.CharField(max_length=12)
    property_class = models.CharField(max_length=6)
    finish = models.ForeignKey(Finish, models.PROTECT, related_name="fasteners")


class CentringRing(Part):
    """Fills the gap between a wider wheel bore and the hub's spigot."""

    outer_mm = models.FloatField()
    inner_mm = models.FloatField()


class Recipe(models.Model):
    """How a thing is done: ordered operations and what is used up."""

    class Covers(models.TextChoices):
        OPTION = "option", "options that name it"
        JOB = "job", "every job, once"
        WHEELS = "wheels", "new wheels"
        TYRES = "tyres", "new tyres"
        SPACERS = "spacers", "spacers"
        RINGS = "rings", "centring rings"
        MIXED = "mixed", "an accent colour mixed to a wish, once"

    code = code_field()
    name = models.CharField(max_length=120)
    covers = models.CharField(max_length=10, choices=Covers.choices, default=Covers.OPTION)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


STAGES = (
    "book-in",
    "test fit",
    "wheels off",
    "strip",
    "prep",
    "prime",
    "colour",
    "lacquer",
    "cure",
    "refit",
    "bond",
    "wheels on",
    "torque",
    "polish",
    "wash",
    "final check",
)


class Operation(models.Model):
    """One step of a recipe. Steps of several recipes with one share key are done once."""

    class Resource(models.TextChoices):
        BAY = "bay", "bay"
        LIFT = "lift", "lift"
        BOOTH = "booth", "booth"
        BENCH = "bench", "bench"

    recipe = models.ForeignKey(Recipe, models.CASCADE, related_name="operations")
    position = models.PositiveSmallIntegerField()
    stage = models.CharField(max_length=12, choices=[(s, s) for s in STAGES])
    name = models.CharField(max_length=160)
    hands_on_h = models.FloatField(default=0)
    wait_h = models.FloatField(default=0, help_text="drying, curing: no hands")
    resource = models.CharField(max_length=6, choices=Resource.choices, default=Resource.BAY)
    share_key = models.CharField(max_length=60, blank=True, help_text="done once for all that share it")
    paints = models.BooleanField(default=False, help_text="stands for the coats of the option's paint system")
    caution = models.TextField(blank=True)

    class Meta:
        ordering = ["recipe", "position"]
        unique_together = [("recipe", "position")]

    def __str__(self) -> str:
        return self.name


class Material(models.Model):
    """What a recipe uses up, and by what it is counted."""

    class Basis(models.TextChoices):
        JOB = "job", "once a job"
        CHOICE = "choice", "once a choice"
        LENGTH = "length", "by metre of the option's bonded length"
        AREA = "area", "by square metre of the option's painted area"
        WHEEL = "wheel", "for each wheel worked on"

    recipe = models.ForeignKey(Recipe, models.CASCADE, related_name="materials")
    item = models.ForeignKey(Item, models.PROTECT, related_name="+")
    basis = models.CharField(max_length=8, choices=Basis.choices)
    quantity = models.DecimalField(max_digits=10, decimal_places=4)
    note = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ["recipe", "item"]

    def __str__(self) -> str:
        return f"{self.item} for {self.recipe}"


class Family(models.Model):
    """Options that answer one question."""

    class Kind(models.TextChoices):
        ONE = "one", "exactly one"
        ANY = "any", "any of them"
        AT_MOST = "at_most", "at most so many"

    code = code_field()
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    limit = models.PositiveSmallIntegerField(null=True, blank=True)
    section = models.CharField(max_length=20, help_text="vehicle, accent, panels, removals, care")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "code"]
        verbose_name_plural = "families"

    def __str__(self) -> str:
        return self.name


class Option(models.Model):
    """Something a customer can choose, or a fact of the vehicle that is already so.

    A fact is what a vehicle has already: a generation lists the usual ones, and the customer may state
    another of the same one-of family (the sport bumper), or one more (the tow bar).
    ``finish_choices`` lists what the fitted or painted part may be: ``body``, ``accent`` or finish
    codes; the first is the default; empty means that it is not painted.
    """

    class Kind(models.TextChoices):
        FACT = "fact", "fact of the vehicle"
        PANEL = "panel", "add-on panel"
        REMOVAL = "removal", "removal"
        ACCENT = "accent", "carries the accent colour"
        OTHER = "other", "other work"

    code = code_field()
    family = models.ForeignKey(Family, models.PROTECT, related_name="options")
    name = models.CharField(max_length=120)
    summary = models.CharField(max_length=240, blank=True)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    item = models.ForeignKey(Item, models.PROTECT, null=True, blank=True, related_name="options")
    item_quantity = models.PositiveSmallIntegerField(default=1)
    recipe = models.ForeignKey(Recipe, models.PROTECT, null=True, blank=True, related_name="options")
    generations = models.ManyToManyField(Generation, blank=True, help_text="empty: every generation")
    finish_choices = models.JSONField(default=list, blank=True)
    paint_system = models.ForeignKey(PaintSystem, models.PROTECT, null=True, blank=True)
    paint_area_m2 = models.FloatField(default=0)
    bond_length_m = models.FloatField(default=0)
    picture_part = models.CharField(max_length=40, blank=True, help_text="shape id that it changes")
    tags = models.JSONField(default=list, blank=True)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["family__position", "position", "code"]

    def __str__(self) -> str:
        return self.name


class Rule(models.Model):
    """A condition with a reason that a customer can read.

    Literals are option codes, ``!code`` for not, or ``tag:word`` for "some option with that tag".
    Wheels, tyres and spacers take part as ``front-wheel:CODE``, ``rear-spacer:CODE`` and so on, with
    tags such as ``tag:wheel-black``. ``brings`` rows are ``{"item", "quantity", "basis"}``.
    """

    class Kind(models.TextChoices):
        NEEDS = "needs", "needs"
        EXCLUDES = "excludes", "excludes"
        BRINGS = "brings", "brings"

    code = code_field()
    kind = models.CharField(max_length=8, choices=Kind.choices)
    if_all = models.JSONField(default=list)
    then_any = models.JSONField(default=list, blank=True)
    brings = models.JSONField(default=list, blank=True)
    at_cost_of = models.CharField(max_length=8, default="customer", help_text="customer or workshop")
    reason = models.CharField(max_length=240)
    generations = models.ManyToManyField(Generation, blank=True)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code


class CatalogueText(models.Model):
    """A text of the catalogue in another language; see ``texts`` for how rows find what they translate."""

    language = models.CharField(max_length=12, help_text="as in texts.de.csv: de")
    kind = models.CharField(max_length=20, help_text="whose text it is: options, rules, recipes")
    code = models.CharField(max_length=60, blank=True, help_text="the row's code; empty: wherever it stands")
    field = models.CharField(max_length=40)
    source = models.TextField(blank=True, help_text="the text that this one was translated from")
    text = models.TextField()

    class Meta:
        ordering = ["language", "kind", "code", "field", "pk"]

    def __str__(self) -> str:
        return f"{self.language}: {self.text[:60]}"
