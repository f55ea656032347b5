import { readFileSync } from 'node:fs'
import type { ConnectionOptions, TlsOptions } from 'node:tls'
import type { Destination, Feeds, Listen } from './feed-settings.ts'

/** Settings of the feeds with keys and certificates read. */
export type ReadyFeeds = {
  readonly feeds: Feeds
  readonly listenTls: TlsOptions | null
  /** By name of the destination; null without TLS. */
  readonly sendTls: ReadonlyMap<string, ConnectionOptions | null>
}

/** TLS 1.2 is the oldest that is spoken (OWASP ASVS 5.0, 12.1.1). */
const OLDEST = { minVersion: 'TLSv1.2' } as const

/** Reads keys and certificates. @throws Error in one sentence naming the file that cannot be read */
export function readCertificates(feeds: Feeds): ReadyFeeds {
  return {
    feeds,
    listenTls: feeds.listen?.tls ? listening(feeds.listen.tls) : null,
    sendTls: new Map(feeds.send.map(({ name, tls }) => [name, tls ? sending(tls) : null])),
  }
}

function listening({ key, certificate, clientsSignedBy }: NonNullable<Listen['tls']>): TlsOptions {
  const clients =
    clientsSignedBy === undefined
      ? {}
      : { ca: fileOf(clientsSignedBy), requestCert: true, rejectUnauthorized: true }
  return { ...OLDEST, key: fileOf(key), cert: fileOf(certificate), ...clients }
}

function sending({
  signedBy,
  serverName,
  key,
  certificate,
}: NonNullable<Destination['tls']>): ConnectionOptions {
  return {
    ...OLDEST,
    ...(signedBy !== undefined && { ca: fileOf(signedBy) }),
    ...(serverName !== undefined && { servername: serverName }),
    ...(key !== undefined && certificate !== undefined && { key: fileOf(key), cert: fileOf(certificate) }),
  }
}

function fileOf(path: string): Buffer {
  try {
    return readFileSync(path)
  } catch (error) {
    const why = error instanceof Error && 'code' in error ? String(error.code) : 'unknown'
    throw new Error(`The file of feeds names ${path}, which cannot be read (${why}).`)
  }
}
