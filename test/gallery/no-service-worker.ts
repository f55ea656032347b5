/** The gallery has no service worker; a page that asks for `?update` sees the notice of a new version. */
export function useRegisterSW() {
  const wanted = new URLSearchParams(window.location.search).has('update')
  return { needRefresh: [wanted, () => {}] as const, updateServiceWorker: async () => {} }
}
