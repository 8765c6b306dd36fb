"""Words of the plan for templates."""

from django import template

from shop.planning import words

register = template.Library()
register.filter("stages", words.stages)
register.filter("kind_of_place", words.kind_of_place)
