import { Dexie, type Table } from 'dexie'

/** What is kept sealed: unreadable, and not to be changed unseen, without the key (AES-GCM, NIST SP 800-38D). */
export type Sealed = { readonly iv: Uint8Array<ArrayBuffer>; readonly data: ArrayBuffer }

/**
 * A person's key on this tablet. `key` is there while they are signed in: it can be used, and never be read out.
 * `wrapped` is the same key under a secret that only the server holds and gives to nobody but them; it outlasts
 * signing out for as long as entries wait to be sent. `device` is the name for which that secret was given: it is kept
 * here, on the disk with the key, because the browser may lose what it keeps elsewhere when it is killed.
 */
type KeyRow = {
  readonly name: string
  readonly key: CryptoKey | null
  readonly wrapped: Sealed
  readonly device?: string
}

class KeyDatabase extends Dexie {
  declare keys: Table<KeyRow, string>
  constructor() {
    super('mistwright keys', { chromeTransactionDurability: 'strict' })
    this.version(1).stores({ keys: 'name' })
  }
}

/** Asks the server for the secret of this person on a tablet [32 bytes]; null when it cannot be had now. */
export type AskSecret = (device: string) => Promise<Uint8Array<ArrayBuffer> | null>

/** Seals and opens what is kept for one person on this tablet. */
export class Safe {
  readonly #key: CryptoKey
  private constructor(key: CryptoKey) {
    this.#key = key
  }

  /** The safe of this name, with its key from here or by the server's secret; null when neither can be had. */
  static async open(name: string, thisDevice: string, askSecret: AskSecret): Promise<Safe | null> {
    const known = await withKeys((keys) => keys.get(name))
    if (known?.key) return new Safe(known.key)
    const device = known?.device ?? thisDevice
    const secret = await askSecret(device)
    if (secret === null) return null
    const wrapping = await wrappingKey(secret)
    const { key, wrapped } = known
      ? { key: await unwrap(known.wrapped, wrapping), wrapped: known.wrapped }
      : await makeKey(wrapping)
    await withKeys((keys) => keys.put({ name, key, wrapped, device }))
    return new Safe(key)
  }

  /** A safe for this page alone; what it seals cannot be opened after the page is gone. */
  static async ofThisPage(): Promise<Safe> {
    return new Safe(await crypto.subtle.generateKey(AES, false, ['encrypt', 'decrypt']))
  }

  /** Seals a value that JSON can hold. `label` goes with it: it opens under no other. */
  async seal(value: unknown, label: string): Promise<Sealed> {
    const iv = crypto.getRandomValues(new Uint8Array(12))
    const plain = utf8(JSON.stringify(value))
    const data = await crypto.subtle.encrypt({ ...AES, iv, additionalData: utf8(label) }, this.#key, plain)
    return { iv, data }
  }

  /** @throws OperationError when it was sealed by another key, under another label, or changed since */
  async open({ iv, data }: Sealed, label: string): Promise<unknown> {
    const plain = await crypto.subtle.decrypt({ ...AES, iv, additionalData: utf8(label) }, this.#key, data)
    return JSON.parse(new TextDecoder().decode(plain))
  }
}

/** Whether this page may seal at all: browsers allow it on https and on this machine only. */
export function canSeal(): boolean {
  return globalThis.crypto?.subtle !== undefined
}

/** Takes the key away: what is sealed stays, and opens again only by the server's secret. */
export function dropKey(name: string): Promise<unknown> {
  return withKeys((keys) => keys.update(name, { key: null }))
}

/** Takes key and wrapped key away, for good. */
export function forgetSafe(name: string): Promise<unknown> {
  return withKeys((keys) => keys.delete(name))
}

const AES = { name: 'AES-GCM', length: 256 }
const utf8 = (text: string) => new TextEncoder().encode(text)

async function withKeys<T>(act: (keys: Table<KeyRow, string>) => PromiseLike<T>): Promise<T> {
  const db = new KeyDatabase()
  try {
    return await act(db.keys)
  } finally {
    db.close()
  }
}

async function makeKey(wrapping: CryptoKey): Promise<{ key: CryptoKey; wrapped: Sealed }> {
  const readable = await crypto.subtle.generateKey(AES, true, ['encrypt', 'decrypt'])
  const iv = crypto.getRandomValues(new Uint8Array(12))
  const wrapped = { iv, data: await crypto.subtle.wrapKey('raw', readable, wrapping, { ...AES, iv }) }
  return { key: await unwrap(wrapped, wrapping), wrapped }
}

function unwrap({ iv, data }: Sealed, wrapping: CryptoKey): Promise<CryptoKey> {
  return crypto.subtle.unwrapKey('raw', data, wrapping, { ...AES, iv }, AES, false, ['encrypt', 'decrypt'])
}

/** HKDF (RFC 5869) over the server's secret, so that the secret itself serves for nothing else. */
async function wrappingKey(secret: Uint8Array<ArrayBuffer>): Promise<CryptoKey> {
  const base = await crypto.subtle.importKey('raw', secret, 'HKDF', false, ['deriveKey'])
  const how = { name: 'HKDF', hash: 'SHA-256', salt: new Uint8Array(), info: utf8('mistwright tablet key') }
  return crypto.subtle.deriveKey(how, base, AES, false, ['wrapKey', 'unwrapKey'])
}
