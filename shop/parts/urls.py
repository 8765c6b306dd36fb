"""Addresses of parts, stock and orders."""

from django.urls import URLPattern, path, re_path

from . import views, views_buying, views_goods, views_orders, views_replacing, views_sending

parts_patterns: list[URLPattern] = [
    path("", views.parts, name="parts"),
    path("stock/", views.stock, name="stock"),
    path("order/<str:supplier>/", views.place, name="place_order"),
]
orders_patterns: list[URLPattern] = [
    path("", views_orders.orders, name="orders"),
    path("new/", views_buying.new_order, name="order_new"),
    path("credits/", views_goods.credits, name="credits"),
    path("<slug:number>/", views_orders.order, name="order"),
    path("<slug:number>/letter/", views_sending.letter, name="order_letter"),
    path("<slug:number>/trouble/", views_goods.trouble, name="goods_trouble"),
    path("<slug:number>/undo/<int:receipt_id>/", views_goods.undo, name="receipt_undo"),
    path("<slug:number>/credit/<int:note_id>/", views_goods.credit, name="goods_credit"),
    path("<slug:number>/goods-in/", views_orders.goods_in, name="goods_in"),
    path("<slug:number>/not-coming/", views_orders.not_coming, name="not_coming"),
    path("<slug:number>/replace/<int:line_id>/", views_replacing.replace_part, name="replace_part"),
    path("<slug:number>/send/", views_sending.send, name="order_send"),
    path("<slug:number>/send-again/", views_sending.send_again, name="order_send_again"),
    path("<slug:number>/answer/", views_sending.answer, name="order_answer"),
    re_path(r"^(?P<number>[^/]+)/file\.(?P<form>csv|xml)$", views_orders.order_file, name="order_file"),
]
job_patterns: list[URLPattern] = [
    path("jobs/<slug:number>/parts/", views.job_parts, name="job_parts"),
    path("jobs/<slug:number>/parts/back/", views_replacing.back_to_shelf, name="parts_back"),
    path("jobs/<slug:number>/parts/all.zip", views.job_zip, name="job_parts_zip"),
    path("jobs/<slug:number>/parts/<str:supplier>.csv", views.job_csv, name="job_parts_csv"),
]
