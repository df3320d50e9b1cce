// Photos of batches: kept in a database of their own in this browser, never in the workspace or its file. Each
// is made smaller before it is kept. A batch names its photos by key; a photo that no batch names is deleted
// after a month, so that undo finds it until then.
import { openDB, type IDBPDatabase } from 'idb';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { causeOf } from './database.ts';

const DATABASE = 'blendbine-photos';
/** Longest side of a kept photo, pixels. */
export const PHOTO_SIDE = 1600;
/** Largest file accepted, bytes. */
export const PHOTO_BYTES_MAX = 20_000_000;
const QUALITY = 0.8;
const ORPHANED_MS = 30 * 24 * 3_600_000;

interface Photo {
  readonly key: string;
  readonly blob: Blob;
  /** Milliseconds since 1970. */
  readonly kept: number;
}

async function withPhotos<T>(job: (database: IDBPDatabase) => Promise<T>): Promise<T> {
  const database = await openDB(DATABASE, 1, {
    upgrade: (opened) => void opened.createObjectStore('photos', { keyPath: 'key' }),
  });
  try {
    return await job(database);
  } finally {
    database.close();
  }
}

async function madeSmall(file: Blob): Promise<Blob | null> {
  const image = await createImageBitmap(file);
  const scale = Math.min(1, PHOTO_SIDE / Math.max(image.width, image.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(image.width * scale));
  canvas.height = Math.max(1, Math.round(image.height * scale));
  canvas.getContext('2d')?.drawImage(image, 0, 0, canvas.width, canvas.height);
  image.close();
  return new Promise((give) => canvas.toBlob(give, 'image/jpeg', QUALITY));
}

/** Makes a photo smaller and keeps it under a key. */
export async function keepPhoto(key: string, file: File): Promise<Outcome<null>> {
  const fault = (message: string, cure: string) =>
    failure<null>({ path: file.name, message, cure });
  if (file.size > PHOTO_BYTES_MAX) {
    return fault(
      `the photo has ${(file.size / 1e6).toFixed(0)} MB, over the ${PHOTO_BYTES_MAX / 1e6} MB taken`,
      'Choose a smaller one',
    );
  }
  const blob = await madeSmall(file).catch(() => null);
  if (!blob) return fault('this browser cannot read it as a picture', 'Choose a JPEG or PNG file');
  try {
    await withPhotos((database) => database.put('photos', { key, blob, kept: Date.now() }));
    return success(null);
  } catch (error) {
    const { reason, cure } = causeOf(error);
    return fault(reason, cure);
  }
}

/** The address of a photo for an image element; `null` where this browser does not have the photo. */
export async function photoAddress(key: string): Promise<string | null> {
  try {
    const photo = (await withPhotos((database) => database.get('photos', key))) as
      | Photo
      | undefined;
    if (!photo) return null;
    return await new Promise((give, refuse) => {
      const reader = new FileReader();
      reader.onload = () => give(reader.result as string);
      reader.onerror = () => refuse(reader.error ?? new Error('the photo cannot be read'));
      reader.readAsDataURL(photo.blob);
    });
  } catch {
    return null;
  }
}

/** Deletes photos that no batch names and that were kept a month ago or more. */
export async function sweepPhotos(known: ReadonlySet<string>): Promise<void> {
  await withPhotos(async (database) => {
    const all = (await database.getAll('photos')) as Photo[];
    const gone = all.filter(({ key, kept }) => !known.has(key) && kept < Date.now() - ORPHANED_MS);
    await Promise.all(gone.map(({ key }) => database.delete('photos', key)));
  }).catch(() => undefined);
}
