from django.urls import path

from garage.views import day, lists, photos, take_in

urlpatterns = [
    path("day/", day.day_sheet, name="day-sheet"),
    path("day/<str:day>/", day.day_sheet, name="day-sheet-on"),
    path("day/<str:day>/day-sheet.pdf", day.day_sheet_pdf, name="day-sheet-pdf"),
    path("steps/<int:step_id>/begin/", day.step_begin, name="step-begin"),
    path("steps/<int:step_id>/end/", day.step_end, name="step-end"),
    path("steps/<int:step_id>/pin/", day.step_pin, name="step-pin"),
    path("fix-first/", lists.fix_first, name="fix-first"),
    path("ring-list/", lists.ring_list, name="ring-list"),
    path("ring-list/<int:number>/rung/", lists.ring_list_done, name="ring-list-done"),
    path("visits/<int:number>/take-in/", take_in.take_in, name="take-in"),
    path("visits/<int:number>/photos/", photos.photo_add, name="photo-add"),
    path("photos/<int:photo_id>/", photos.photo, name="photo"),
]
