// Frames and pictures as they are sent: JPEG with a long side of at most 1600 pixels, scaled once.

const LONG_SIDE_PX = 1600;
const QUALITY = 0.95;
const AS_THEY_ARE = ["image/jpeg", "image/png", "image/webp"];

// What is shown in a video or an img, as {blob, width, height}.
export async function frameOf(source, width, height) {
  const scale = Math.min(1, LONG_SIDE_PX / Math.max(width, height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(width * scale);
  canvas.height = Math.round(height * scale);
  const context = canvas.getContext("2d");
  context.imageSmoothingQuality = "high";
  context.drawImage(source, 0, 0, canvas.width, canvas.height);
  const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
  if (!blob) throw new Error("this browser makes no JPEG of it");
  return { blob, width: canvas.width, height: canvas.height };
}

// A picture from a file shown in `img`; one that is small enough goes as it is.
export async function pictureOf(file, img) {
  await img.decode();
  const { naturalWidth: width, naturalHeight: height } = img;
  const isSmall = Math.max(width, height) <= LONG_SIDE_PX && AS_THEY_ARE.includes(file.type);
  return isSmall ? { blob: file, width, height } : frameOf(img, width, height);
}
