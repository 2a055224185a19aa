from django.urls import path

from jobs.views import book, came_back, card, card_bench, card_causes, history, invoice, owner, owner_choice, visit

urlpatterns = [
    path("visits/", visit.visits, name="visits"),
    path("visits/<int:number>/", visit.visit, name="visit"),
    path("visits/<int:number>/card/", card.card, name="card"),
    path("visits/<int:number>/card/card.pdf", card.card_pdf, name="card-pdf"),
    path("visits/<int:number>/card/clock/start/", card.card_labour_start, name="card-labour-start"),
    path("visits/<int:number>/card/clock/<int:labour_id>/stop/", card.card_labour_stop, name="card-labour-stop"),
    path("visits/<int:number>/card/clock/<int:labour_id>/right/", card.card_labour_right, name="card-labour-right"),
    path("visits/<int:number>/card/lines/<int:line_id>/strike/", card.card_line_strike, name="card-line-strike"),
    path(
        "visits/<int:number>/card/causes/<int:cause_id>/withdraw/",
        card_bench.card_cause_withdraw,
        name="card-cause-withdraw",
    ),
    path("visits/<int:number>/card/causes/late/", card_causes.card_cause_late, name="card-cause-late"),
    path(
        "visits/<int:number>/card/causes/<int:cause_id>/correct/",
        card_causes.card_cause_correct,
        name="card-cause-correct",
    ),
    path("visits/<int:number>/card/causes/<int:cause_id>/none/", card_causes.card_cause_none, name="card-cause-none"),
    path("visits/<int:number>/card/bench/<slug:step>/", card_bench.card_outcome, name="card-outcome"),
    path(
        "visits/<int:number>/card/bench/<int:outcome_id>/back/", card_bench.card_outcome_back, name="card-outcome-back"
    ),
    path("visits/<int:number>/card/close/", card.card_close, name="card-close"),
    path("visits/<int:number>/card/reopen/", card.card_reopen, name="card-reopen"),
    path("visits/<int:number>/card/came-back/", came_back.card_came_back, name="card-came-back"),
    path("visits/<int:number>/card/came-back/not/", came_back.card_did_not_come_back, name="card-did-not-come-back"),
    path("visits/<int:number>/card/write/", card.card_write, name="card-write"),
    path("visits/<int:number>/card/add/<slug:what>/", card.card_add, name="card-add"),
    path("visits/<int:number>/invoice/", invoice.invoice_issue, name="invoice-issue"),
    path("visits/<int:number>/deposit/", invoice.deposit_add, name="deposit-add"),
    path("visits/<int:number>/collected/", invoice.visit_collected, name="visit-collected"),
    path("invoices/<int:number>/", invoice.invoice, name="invoice"),
    path("invoices/<int:number>/invoice.pdf", invoice.invoice_pdf_of, name="invoice-pdf"),
    path("invoices/<int:number>/payment/", invoice.payment_add, name="payment-add"),
    path("visits/<int:number>/choice/", visit.visit_choice, name="visit-choice"),
    path("the-book/", book.the_book, name="the-book"),
    path("machines/<int:machine_id>/", history.machine, name="machine"),
    path("visit/<str:token>/", owner.owner_visit, name="owner-visit"),
    path("visit/<str:token>/call-off/", owner.owner_call_off, name="owner-call-off"),
    path("visit/<str:token>/move/", owner.owner_move, name="owner-move"),
    path("visit/<str:token>/choose/", owner_choice.owner_choose, name="owner-choose"),
    path("visit/<str:token>/leave/", owner_choice.owner_leave, name="owner-leave"),
    path("visit/<str:token>/leave/look/", owner_choice.owner_leave_look, name="owner-leave-look"),
    path("visit/<str:token>/guide/", owner_choice.owner_guide, name="owner-guide"),
    path("visit/<str:token>/time/", owner_choice.owner_time, name="owner-time"),
    path("visit/<str:token>/invoice.pdf", owner.owner_invoice, name="owner-invoice"),
]
