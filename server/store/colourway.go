package store

// Colourway is a shade standard and the recipe that reaches it. It points at
// the recipe as such: a run says which version.
type Colourway struct {
	ID           int64  `db:"id"`
	Code         string `db:"code"`
	Name         string `db:"name"`
	StandardID   int64  `db:"standard_id"`
	StandardCode string `db:"standard_code"`
	RecipeID     int64  `db:"recipe_id"`
	RecipeCode   string `db:"recipe_code"`
}

const colourwayColumns = `
	select c.id, c.code, c.name, c.standard_id, s.code as standard_code, c.recipe_id, r.code as recipe_code
	from colourway c join shade_standard s on s.id = c.standard_id join recipe r on r.id = c.recipe_id`

// AddColourway writes a colourway by the ids in it; its code must be new
// (fault.Exists).
func (t *Tx) AddColourway(c Colourway) error {
	return t.exec(`insert into colourway (code, name, standard_id, recipe_id, created_at) values ($1, $2, $3, $4, $5)`,
		c.Code, c.Name, c.StandardID, c.RecipeID, t.Now)
}

// ColourwayByCode finds one; fault.NotFound.
func (t *Tx) ColourwayByCode(code string) (Colourway, error) {
	var c Colourway
	err := t.get(&c, colourwayColumns+` where c.code = $1`, code)
	return c, missing(err, "colourway", code)
}

// Colourways lists every colourway by code.
func (t *Tx) Colourways() ([]Colourway, error) {
	var cs []Colourway
	err := t.list(&cs, colourwayColumns+` order by c.code`)
	return cs, err
}
