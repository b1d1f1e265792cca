from collections.abc import Sequence

from django import forms

from jobs.models import Job


class LetBeforeForm(forms.Form):
    """Which job waits, and why."""

    then = forms.ModelChoiceField(
        Job.objects.none(),
        label="Goes before",
        empty_label="choose the job that waits",
        error_messages={
            "required": "Choose the job that waits.",
            "invalid_choice": "That job is no longer planned work. Choose one of the list.",
        },
    )
    reason = forms.CharField(
        label="Why", max_length=300, error_messages={"required": "Say why: it stands in the timeline under your name."}
    )

    def __init__(self, *args, jobs: Sequence[Job], **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["then"].queryset = Job.objects.filter(pk__in=[job.pk for job in jobs]).order_by("cut_on", "pk")
        self.fields["then"].label_from_instance = lambda job: f"{job}, to be cut on {job.cut_on:%Y-%m-%d}"
