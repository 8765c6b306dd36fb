"""Celery tasks of mail; in-process when there is no Redis."""

from celery import shared_task

from . import delivery, reminders


@shared_task
def deliver_mail(mail_id: int) -> bool:
    """Send one mail."""
    return delivery.deliver(mail_id)


@shared_task
def sweep_mail() -> int:
    """Hand over again what was lost on the way; run by beat every minute."""
    return delivery.sweep()


@shared_task
def send_reminders() -> int:
    """Promise every reminder that fell due; run by beat every morning."""
    return reminders.remind_all()
