/* A photo made small enough for a weak network before it goes. Without it, the file goes as the camera wrote it. */
import { fitWithin } from "./pivot-words.js";

const LONGEST = 2560;
const QUALITY = 0.86;

/* A JPEG of at most 2560 px on its longest side, upright. The file itself where the browser cannot read it: the portal
   then says in words what is wrong with it. */
export async function smaller(file) {
  let picture;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    return file;
  }
  const [width, height] = fitWithin(picture.width, picture.height, LONGEST);
  const canvas = document.createElement("canvas");
  canvas.width = width;
  canvas.height = height;
  const brush = canvas.getContext("2d");
  // JPEG knows no transparency: what is clear would turn black.
  brush.fillStyle = "#fff";
  brush.fillRect(0, 0, width, height);
  brush.imageSmoothingQuality = "high";
  brush.drawImage(picture, 0, 0, width, height);
  picture.close();
  const made = await new Promise((resolve) => { canvas.toBlob(resolve, "image/jpeg", QUALITY); });
  return made ?? file;
}
