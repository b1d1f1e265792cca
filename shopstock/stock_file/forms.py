from django import forms

from .readers import MOST_BYTES, FileProblem, Table, read_table


class StockFileForm(forms.Form):
    file = forms.FileField(
        label="CSV or XLSX file",
        help_text="Up to 10 MB and 50,000 lines. Nothing is stored before you have seen what it would add.",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
        error_messages={
            "required": "Choose a file first.",
            "empty": "The file is empty. Its first line names the columns, then one line for each roll.",
        },
    )

    data: bytes
    table: Table

    def clean_file(self):
        upload = self.cleaned_data["file"]
        if upload.size > MOST_BYTES:
            raise forms.ValidationError(
                f"The file has {upload.size / 1024 / 1024:.1f} MB; the most is 10 MB. Split it into several."
            )
        self.data = upload.read()
        try:
            self.table = read_table(self.data)
        except FileProblem as error:
            raise forms.ValidationError(str(error)) from None
        return upload
