/**
 * Security headers. Scripts come from here alone. Styles may stand in attributes, because the component library sets
 * positions so. Without TLS nothing asks for https: a tablet on a local address would get blank pages.
 */
export function headers(secure: boolean) {
  return {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        'default-src': ["'self'"],
        'script-src': ["'self'", "'wasm-unsafe-eval'"],
        'style-src': ["'self'", "'unsafe-inline'"],
        'img-src': ["'self'", 'data:', 'blob:'],
        'connect-src': ["'self'"],
        'worker-src': ["'self'", 'blob:'],
        'object-src': ["'none'"],
        'base-uri': ["'none'"],
        'form-action': ["'self'"],
        'frame-ancestors': ["'none'"],
        ...(secure && { 'upgrade-insecure-requests': [] }),
      },
    },
    strictTransportSecurity: secure ? { maxAge: 31_536_000, includeSubDomains: true } : false,
    referrerPolicy: { policy: 'no-referrer' as const },
    crossOriginEmbedderPolicy: false,
  }
}
