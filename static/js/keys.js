// Says beside the button why a key could not be used; the library's script only tells the console.

const said = document.querySelector("[data-keys]");

function reason(exception) {
  if (!window.PublicKeyCredential || exception?.name === "SecurityError") return "unable";
  if (exception?.name === "NotAllowedError" || exception?.name === "AbortError") return "refused";
  return "failed";
}

if (said) {
  document.addEventListener("allauth.error", (event) => {
    event.preventDefault();
    said.textContent = said.dataset[reason(event.detail.exception)];
  });
}
