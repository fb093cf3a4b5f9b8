// Shows the page's own sentence when the device did not give a passkey, in place of silence.
document.addEventListener("allauth.error", function (event) {
  const words = document.getElementById("passkey-refused");
  if (words) {
    event.preventDefault();
    words.hidden = false;
  }
});
