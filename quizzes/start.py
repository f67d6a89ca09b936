def start_page(user):
    return {}
