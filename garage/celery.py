"""The Celery app: the same code for the filesystem broker of a small garage and the Redis of a big one."""

import gc
import os
from typing import Any

from celery import Celery
from celery.signals import task_received, worker_before_create_process
from kombu.transport import TRANSPORT_ALIASES

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garage.settings")

from django.conf import settings

from garage.running.parts import signs

HEARING = "hearing"  # the queue of clips has its own worker, so that no mail waits for a long clip
FORGETTING_S = 6 * 3600.0  # s between two looks for what is past its time: months do not end by the minute
BOOK_S = 6 * 3600.0  # s between two looks through the whole book, or all closed cards: 10,000 take some seconds
REMINDERS_S = 300.0  # s between two looks at what owners are to be reminded of, and what they have not paid
SWEEP_S = 20.0  # s between two sweeps for due rows: the most a lost wake can delay a mail
REDIS_CONNECT_S, REDIS_ANSWER_S = 1.0, 2.0  # a page waits no longer for a Redis that is away, or there and silent

TRANSPORT_ALIASES["filesystem"] = (
    "garage.running.brokers.file_broker:Transport"  # kombu's, but messages appear atomically
)
# kombu's as well, but the worker outlives it
TRANSPORT_ALIASES["redis"] = TRANSPORT_ALIASES["rediss"] = "garage.running.brokers.redis_broker:RedisTransport"

app = Celery("tickover")


def transport_options(broker_url: str) -> dict[str, object]:
    """For whoever sends a task, one try: it stands in the database. The workers go on trying by themselves."""
    if not broker_url.startswith("filesystem"):
        return {
            "visibility_timeout": 3600,
            "max_retries": 0,
            "socket_connect_timeout": REDIS_CONNECT_S,
            "socket_timeout": REDIS_ANSWER_S,
        }
    folder = settings.DATA / "broker"
    return {
        "data_folder_in": str(folder / "tasks"),
        "data_folder_out": str(folder / "tasks"),
        "control_folder": str(folder / "control"),
        "store_processed": False,
        "polling_interval": 0.1,  # s; the default waits 0.7 s on average
    }


app.config_from_object("django.conf:settings", namespace="CELERY")
app.conf.update(
    broker_transport_options=transport_options(settings.CELERY_BROKER_URL),
    task_routes={"diagnostics.hearing.tasks.hear_clips": {"queue": HEARING}},
    beat_scheduler="garage.running.parts.beat:SteadyScheduler",
    beat_schedule={
        "send what is due": {"task": "garage.tasks.send_due", "schedule": SWEEP_S},
        "let lapsed holds go": {"task": "garage.tasks.free_lapsed_holds", "schedule": 60.0},
        "free what nobody has confirmed": {"task": "garage.tasks.free_unconfirmed", "schedule": 60.0},
        "give back what no owner answered for": {"task": "garage.tasks.act_on_silence", "schedule": 60.0},
        "offer times that came free": {"task": "garage.tasks.offer_freed_times", "schedule": SWEEP_S},
        "free times not paid for": {"task": "garage.tasks.free_unpaid", "schedule": REMINDERS_S},
        "make the day's backup": {"task": "garage.tasks.back_up", "schedule": REMINDERS_S},
        "make the export that was asked for": {"task": "garage.tasks.make_export", "schedule": SWEEP_S},
        "tell the boss what failed": {"task": "garage.tasks.tell_failures", "schedule": 60.0},
        "remind owners": {"task": "jobs.tasks.remind_owners", "schedule": REMINDERS_S},
        "make papers that wait": {"task": "jobs.tasks.make_papers", "schedule": SWEEP_S},
        "look for troubles": {"task": "jobs.tasks.look_for_troubles", "schedule": 60.0},
        "forget files that never were a run": {"task": "jobs.tasks.forget_run_files", "schedule": 3600.0},
        "forget forms sent long ago": {"task": "jobs.tasks.forget_sent_forms", "schedule": 3600.0},
        "forget what is past its time": {"task": "garage.tasks.forget_old_things", "schedule": FORGETTING_S},
        "look through the book": {"task": "jobs.tasks.check_the_book", "schedule": BOOK_S},
        "forget who old invoices were for": {"task": "jobs.tasks.forget_old_invoices", "schedule": FORGETTING_S},
        "count closed cards by a new bank": {"task": "diagnostics.tasks.count_by_a_new_bank", "schedule": SWEEP_S},
        "look through closed cards": {"task": "diagnostics.tasks.look_through_closed_cards", "schedule": BOOK_S},
        "forget sounds of no clip": {"task": "diagnostics.hearing.tasks.forget_sounds", "schedule": 3600.0},
        "hear clips that wait": {
            "task": "diagnostics.hearing.tasks.hear_clips",
            "schedule": SWEEP_S,
            "options": {"expires": SWEEP_S},  # sweeps must not pile up behind a long clip
        },
    },
)
app.autodiscover_tasks(["garage", "diagnostics", "diagnostics.hearing", "jobs"])


@worker_before_create_process.connect
def _leave_what_is_loaded(**_told: object) -> None:
    """Code and libraries are the same in each process of the worker. Python's collector would write to all of it, and
    what is written to is no longer shared: 35 MB a process with its first full round.
    """
    gc.freeze()


@task_received.connect
def _give_sign(request: Any, **_told: object) -> None:
    """In the worker itself, not in one of its processes: the beat's work has come through the broker to it."""
    signs.give(settings.DATA, request.delivery_info["routing_key"])
