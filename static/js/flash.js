// What has just changed is brought into sight, and its flash starts anew even where the element was kept in place.

function show(changed) {
  changed.getAnimations().forEach((animation) => {
    animation.cancel();
    animation.play();
  });
  changed.scrollIntoView({ block: "nearest" });
}

document.addEventListener("htmx:after:swap", () => {
  const changed = document.querySelector("[data-changed]");
  if (changed) show(changed);
});
