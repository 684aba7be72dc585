/* As it will print: the proofed picture over the stage and, with the marks, hatching where ink cannot reach. Both are fetched
   once they are asked for. */

export function makeProof(frame, { proof, beyond }, says) {
  let wanted = false, shown = false;
  const images = [["stage-proof", proof], ["stage-beyond", beyond]].map(([name, src]) => {
    const image = new Image();
    image.className = name;
    image.alt = "";
    return { image, src };
  });

  async function fetchBoth() {
    for (const { image, src } of images) image.src = src;
    try {
      await Promise.all(images.map(({ image }) => image.decode()));
    } catch {
      for (const { image } of images) image.removeAttribute("src");
      if (wanted) says("The picture as it will print could not be fetched. Press again to try.");
      return;
    }
    if (wanted) put();
  }

  function put() {
    const before = frame.querySelector("[data-marks], [data-pins]");
    for (const { image } of images) before ? before.before(image) : frame.append(image);
    shown = true;
  }

  return {
    show(marks) {
      wanted = true;
      images[1].image.classList.toggle("stage-hidden", !marks);
      if (images.every(({ image }) => image.complete && image.naturalWidth)) put();
      else fetchBoth();
    },
    hide() {
      wanted = false;
      if (shown) for (const { image } of images) image.remove();
      shown = false;
    },
  };
}
