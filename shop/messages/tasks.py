"""Celery tasks of mail; in-process when there is no Redis."""

from celery import shared_task

from . import news, reminders


@shared_task
def send_reminders() -> int:
    """Promise every reminder that fell due; run by beat every morning."""
    return reminders.remind_all()


@shared_task
def tell_workshop() -> int:
    """Promise the workshop's mail of the day; run by beat every morning."""
    return news.promise_digest()
