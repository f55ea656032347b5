import { useEffect, useState } from 'react'
import { useSession } from '../../local/app-world.tsx'
import { Button } from '../../parts/button.tsx'
import { Strip } from '../../parts/strip.tsx'

/** The way to the hospital's own sign-in, where there is one. */
export function HospitalSignIn() {
  const session = useSession()
  const [name, setName] = useState<string | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  useEffect(() => {
    void session.hospitalName().then(setName)
  }, [session])
  if (name === null) return null
  const leave = async () => {
    const outcome = await session.leaveForHospital()
    if (!outcome.ok) setProblem(`${outcome.what} ${outcome.todo}`)
  }
  return (
    <>
      <Button gloved wide onPress={() => void leave()}>
        Sign in with {name}
      </Button>
      {problem !== null && (
        <Strip kind="halt" word="Not signed in." spoken>
          {problem}
        </Strip>
      )}
    </>
  )
}
