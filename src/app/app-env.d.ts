/// <reference types="vite/client" />
/// <reference types="vite-plugin-pwa/react" />

/** The version in package.json, put in by the build. */
declare const APP_VERSION: string
