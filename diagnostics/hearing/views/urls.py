"""Pages of the clip, by the owner's links and for the workshop."""

from django.urls import path

from diagnostics.hearing.views import clip, owner_clip

urlpatterns = [
    path("sheet/<str:token>/clip/", owner_clip.sheet_clip, name="sheet-clip"),
    path("sheet/<str:token>/clip/<int:clip_id>/sound/", owner_clip.sheet_clip_sound, name="sheet-clip-sound"),
    path("sheet/<str:token>/clip/<int:clip_id>/picture/", owner_clip.sheet_clip_picture, name="sheet-clip-picture"),
    path("sheet/<str:token>/clip/<int:clip_id>/delete/", owner_clip.sheet_clip_delete, name="sheet-clip-delete"),
    path("visit/<str:token>/clip/", owner_clip.owner_clip_kept, name="owner-clip"),
    path("visit/<str:token>/clip/<int:clip_id>/sound/", owner_clip.owner_clip_sound, name="owner-clip-sound"),
    path("visit/<str:token>/clip/<int:clip_id>/picture/", owner_clip.owner_clip_picture, name="owner-clip-picture"),
    path("visits/<int:number>/clips/", clip.clip_add, name="clip-add"),
    path("visits/<int:number>/clips/<int:clip_id>/", clip.clip, name="clip"),
    path("visits/<int:number>/clips/<int:clip_id>/heard.svg", clip.clip_picture, name="clip-picture"),
    path("visits/<int:number>/clips/<int:clip_id>/sound/", clip.clip_sound, name="clip-sound"),
    path("visits/<int:number>/clips/<int:clip_id>/verdict/", clip.clip_verdict, name="clip-verdict"),
    path("visits/<int:number>/clips/<int:clip_id>/verdict/back/", clip.clip_verdict_back, name="clip-verdict-back"),
    path("visits/<int:number>/clips/<int:clip_id>/again/", clip.clip_again, name="clip-again"),
    path("visits/<int:number>/clips/<int:clip_id>/delete/", clip.clip_delete, name="clip-delete"),
]
