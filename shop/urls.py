"""The workshop's addresses, all behind a staff login; each part lists its own."""

from django.urls import URLPattern, URLResolver, include, path

from .accounts.urls import people_patterns
from .customers.urls import urlpatterns as of_customers
from .documents.urls import job_patterns as of_papers
from .documents.urls import order_patterns as order_papers
from .figures.urls import urlpatterns as of_figures
from .jobs.urls import urlpatterns as of_jobs
from .messages.urls import urlpatterns as of_messages
from .money.urls import job_patterns as of_money
from .money.urls import money_patterns
from .opening.urls import settings_patterns
from .parts.urls import job_patterns as of_parts
from .parts.urls import orders_patterns, parts_patterns
from .planning.urls import urlpatterns as of_planning
from .privacy.urls import privacy_patterns
from .range.urls import range_patterns
from .showcase.urls import staff_patterns as of_showcase
from .stuck.urls import urlpatterns as of_stuck
from .tracking.urls import staff_patterns as of_calendar
from .vehicles.urls import vehicle_patterns
from .wanted.urls import staff_patterns as of_wanted

app_name = "shop"
urlpatterns: list[URLPattern | URLResolver] = [
    *of_jobs,
    *of_customers,
    *of_figures,
    *of_planning,
    *of_messages,
    *of_stuck,
    path("parts/", include(parts_patterns)),
    path("accounts/", include(people_patterns)),
    path("vehicles/", include(vehicle_patterns)),
    path("requests/", include(of_wanted)),
    path("settings/", include(settings_patterns)),
    path("calendar/", include(of_calendar)),
    path("privacy/", include(privacy_patterns)),
    path("showcase/", include(of_showcase)),
    path("range/", include(range_patterns)),
    path("orders/", include(orders_patterns)),
    path("orders/", include(order_papers)),
    path("money/", include(money_patterns)),
    *of_parts,
    *of_money,
    *of_papers,
]
