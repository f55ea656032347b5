import { Button } from './button.tsx'

/** Prints the screen as it stands, by its print style. */
export function PrintButton({ label = 'Print' }: { readonly label?: string }) {
  return <Button onPress={() => window.print()}>{label}</Button>
}
