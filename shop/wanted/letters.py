"""What the mails about a request say; each is data, in the customer's language when called under it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from configurator.models import Workshop
from shop.messages.letters import Letter
from shop.messages.letters.letter import register_of

from .models import VehicleRequest


@dataclass(frozen=True)
class Occasion:
    """What a letter may speak of. ``why`` are the words that it passes on; ``about`` stands in its head."""

    request: VehicleRequest
    workshop: Workshop
    link: str
    why: str = ""

    @property
    def about(self) -> str:
        """The vehicle in the customer's own words; nothing of them goes to an address that is not proved."""
        return "" if self.request.state == VehicleRequest.State.UNPROVED else self.request.vehicle


Writer = Callable[[Occasion], Letter]
LETTERS: dict[str, Writer] = {}
letter = register_of(LETTERS)


def _private() -> str:
    return _("The link is private: anyone who has it sees this request. Keep it to yourself.")


@letter("confirm")
def confirm(on: Occasion) -> Letter:
    """Ask whether the address is theirs; nothing that was typed is repeated to a stranger."""
    name = {"name": on.workshop.name}
    return Letter(
        subject=_("Is this your mail address? %(name)s") % name,
        heading=_("One more step"),
        paragraphs=(
            _(
                "Somebody asked %(name)s about a vehicle that is not on its list, and gave this mail "
                "address. If it was you, open the page and press the button there; then it goes to the "
                "workshop."
            )
            % name,
        ),
        button=_("Open the page"),
        after=(
            _(
                "The link works for two days. If it was not you, do nothing: nothing is sent, and you hear "
                "no more of it."
            ),
        ),
    )


@letter("received")
def received(on: Occasion) -> Letter:
    """Say that it came, and where it can be followed."""
    return Letter(
        subject=_("We have your request: %(vehicle)s") % {"vehicle": on.about},
        heading=_("Thank you, your request is with us."),
        paragraphs=(
            _(
                "A person looks at it and answers by mail or telephone: whether we can take the vehicle up, "
                "and what has to be measured for it."
            ),
            _("You can add a word or photos on your page, or withdraw the request."),
        ),
        facts=((_("Vehicle"), on.about),),
        button=_("See your request"),
        after=(_private(),),
    )


@letter("link")
def link(on: Occasion) -> Letter:
    """Send the private link once more to whoever asked for it under this address."""
    return Letter(
        subject=_("Your link: %(vehicle)s") % {"vehicle": on.about},
        heading=_("Here is the link to your request."),
        paragraphs=(_("Somebody asked us for it under this mail address, most likely you."),),
        button=_("See your request"),
        after=(_private(),),
    )


@letter("answer")
def answer(on: Occasion) -> Letter:
    """Pass on what the workshop wrote."""
    return Letter(
        subject=_("About your %(vehicle)s") % {"vehicle": on.about},
        heading=_("We have written to you."),
        paragraphs=(),
        quote=on.why,
        button=_("Answer on your page"),
        after=(_private(),),
    )


@letter("taken")
def taken(on: Occasion) -> Letter:
    """Say that the vehicle is being taken up."""
    return Letter(
        subject=_("We are taking up your %(vehicle)s") % {"vehicle": on.about},
        heading=_("We are taking your vehicle up."),
        paragraphs=(
            _(
                "It is measured and drawn next, so that the page can judge in millimetres what fits it. You "
                "hear from us as soon as you can build on it."
            ),
        ),
        quote=on.why,
        button=_("See your request"),
        after=(_private(),),
    )


@letter("ready")
def ready(on: Occasion) -> Letter:
    """Say that the vehicle can be built on now."""
    return Letter(
        subject=_("You can build on your %(vehicle)s now") % {"vehicle": on.about},
        heading=_("Your vehicle is on the list."),
        paragraphs=(
            _(
                "Choose wheels, panels and colour for it, and see at once what fits and what it costs. What "
                "you wrote to us is carried over."
            ),
            _("Nothing is ordered before we have both said yes."),
        ),
        quote=on.why,
        button=_("Begin your build"),
        after=(_private(),),
    )


@letter("declined")
def declined(on: Occasion) -> Letter:
    """Say no, and why, in a friendly way."""
    return Letter(
        subject=_("About your request: %(vehicle)s") % {"vehicle": on.about},
        heading=_("We are sorry: we cannot take this vehicle up."),
        paragraphs=(
            _(
                "Thank you for asking us. We have looked at it and do not want to promise what we cannot "
                "do well."
            ),
        ),
        quote=on.why,
        button=_("See your request"),
        after=(_("If something changes on your side, write to us on your page: it reaches us as before."),),
    )
