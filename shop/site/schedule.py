"""What runs by itself and when, in the workshop's own time."""

from typing import Any

from celery.schedules import crontab

SCHEDULE: dict[str, dict[str, Any]] = {
    "sweep-outbox": {"task": "configurator.outbox.tasks.sweep_outbox", "schedule": 60.0},
    "send-reminders": {
        "task": "shop.messages.tasks.send_reminders",
        "schedule": crontab(hour="8", minute="0"),
    },
    "tell-workshop": {
        "task": "shop.messages.tasks.tell_workshop",
        "schedule": crontab(hour="7", minute="0"),
    },
    "purge": {"task": "shop.privacy.tasks.purge", "schedule": crontab(hour="3", minute="15")},
    "look-at-parts": {
        "task": "shop.parts.tasks.look_at_parts",
        "schedule": crontab(hour="6", minute="0"),
    },
}
