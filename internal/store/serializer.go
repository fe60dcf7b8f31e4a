package store

import (
	"context"
	"fmt"
	"reflect"

	"gorm.io/gorm/schema"
)

// refSerializer stores an empty reference as NULL, which foreign keys need.
type refSerializer struct{}

// Scan reads NULL as the empty reference.
func (refSerializer) Scan(ctx context.Context, field *schema.Field, dst reflect.Value, value any) error {
	text := ""
	switch v := value.(type) {
	case nil:
	case string:
		text = v
	case []byte:
		text = string(v)
	default:
		return fmt.Errorf("store: column %s holds a %T, not a reference", field.DBName, value)
	}
	field.ReflectValueOf(ctx, dst).SetString(text)
	return nil
}

// Value writes the empty reference as NULL.
func (refSerializer) Value(_ context.Context, _ *schema.Field, _ reflect.Value, value any) (any, error) {
	text := reflect.ValueOf(value).String()
	if text == "" {
		return nil, nil
	}
	return text, nil
}
