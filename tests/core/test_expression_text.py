"""How formulas are written out: what is read is what was evaluated."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.core.check import Value
from plumbhook.core.expression import ExpressionError, evaluate, parse
from plumbhook.core.expression_text import symbol_text, symbol_typst, to_text, to_typst

NAMES = ("a", "b", "c", "x")


def formulas() -> st.SearchStrategy[str]:
    """Formulas written with every parenthesis, so that their meaning does not hang on precedence."""
    leaf = st.sampled_from(NAMES) | st.sampled_from(["1", "2", "0.5", "3"])

    def grow(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
        pair = st.tuples(inner, inner)
        return (
            st.tuples(st.sampled_from(["+", "-", "*", "/", "**"]), pair).map(
                lambda t: f"(({t[1][0]}) {t[0]} ({t[1][1]}))"
            )
            | inner.map(lambda e: f"(-({e}))")
            | inner.map(lambda e: f"sqrt({e})")
            | inner.map(lambda e: f"abs({e})")
            | st.lists(inner, min_size=1, max_size=7).map(lambda items: f"max({', '.join(items)})")
        )

    return st.recursive(leaf, grow, max_leaves=12)


def back_to_formula(text: str) -> str:
    return text.replace("\u00b7", "*").replace("^", "**").replace("\u2212", "-")


@given(formulas())
def test_plain_text_read_again_is_the_same_formula(formula):
    assert parse(back_to_formula(to_text(formula))) == parse(formula)


@given(formulas(), st.lists(st.integers(-9, 9).map(lambda n: n / 2.0), min_size=4, max_size=4))
def test_plain_text_with_numbers_put_in_has_the_same_value(formula, numbers):
    values = dict(zip(NAMES, numbers, strict=True))
    inputs = [Value(name, number, "1", name) for name, number in values.items()]
    text = to_text(formula, inputs, lambda value: repr(value.value))
    try:
        expected = evaluate(formula, values)
    except ExpressionError:
        return
    got = evaluate(back_to_formula(text), {})
    assert got == expected or (math.isnan(got) and math.isnan(expected))


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("a - (b - c)", "a - (b - c)"),
        ("(a - b) - c", "a - b - c"),
        ("a*(b + c)", "a · (b + c)"),
        ("(a*b)/(c*x)", "a · b / (c · x)"),
        ("a/b*c", "a / b · c"),
        ("-a**2", "-a^2"),
        ("(-a)**2", "(-a)^2"),
        ("a*-b", "a · (-b)"),
        ("a**-b", "a^(-b)"),
        ("(a**b)**c", "(a^b)^c"),
        ("log(a)", "ln(a)"),
        ("sqrt(a**2 - b**2)", "sqrt(a^2 - b^2)"),
    ],
)
def test_parentheses_stand_where_the_reader_needs_them_and_nowhere_else(formula, expected):
    assert to_text(formula) == expected


@pytest.mark.parametrize(
    ("symbol", "text", "typst"),
    [
        ("N", "N", "N"),
        ("N_b_Rd", "N_b,Rd", 'N_("b,Rd")'),
        ("gamma_M1", "γ_M1", 'gamma_("M1")'),
        ("lambda_bar", "λ\u0304", "overline(lambda)"),
        ("F_e_prime", "F\u2032_e", 'F\'_("e")'),
        ("Fe_prime", "Fe\u2032", 'italic("Fe")\''),
        ("Phi", "Φ", "Phi"),
        ("chi", "χ", "chi"),
        ("eta", "η", "eta"),
        ("theta_max", "θ_max", 'theta_("max")'),
        ("T1", "T_1", 'T_("1")'),
        ("GM_req", "GM_req", 'italic("GM")_("req")'),
        ("k_beta", "k_β", "k_(beta)"),
    ],
)
def test_symbols_are_set_as_the_standards_set_them(symbol, text, typst):
    assert symbol_text(symbol) == text
    assert symbol_typst(symbol) == typst


def test_typst_has_fractions_roots_and_subscripts():
    assert to_typst("chi*A*f_y/gamma_M1") == 'frac(chi dot.op A dot.op f_("y"), gamma_("M1"))'
    assert to_typst("sqrt(A*f_y/N_cr)") == 'sqrt(frac(A dot.op f_("y"), N_("cr")))'
    assert to_typst("(a/b)**2") == "(frac(a, b))^(2)"
    assert to_typst("asin(a) + 1e-9") == "arcsin(a) + 1 dot.op 10^(-9)"


def test_numbers_are_put_in_with_their_unit_and_kept_apart():
    inputs = (Value("F", 128e3, "N", "force"), Value("g", 9.81, "m_s2", "gravity"))
    shown = {"F": "128.0 kN", "g": "9.81 m/s²"}
    assert to_text("F/g", inputs, lambda value: shown[value.symbol]) == "128.0 kN / (9.81 m/s²)"
    assert to_text("g**2", inputs, lambda value: shown[value.symbol]) == "(9.81 m/s²)^2"
    assert to_typst("F/g", inputs, lambda value: shown[value.symbol]) == 'frac("128.0 kN", "9.81 m/s²")'


def test_a_negative_number_put_in_is_in_parentheses():
    inputs = (Value("z", -0.95, "m", "height"), Value("v", 4.44, "m", "height"))
    text = to_text("v - z", inputs, lambda value: f"{value.value:.2f} m")
    assert text == "4.44 m - (-0.95 m)"


def test_quotes_in_a_unit_do_not_break_out_of_the_markup():
    value = Value("d", 0.0254, "m", "diameter")
    assert to_typst("d", (value,), lambda _: '1" \\') == '"1\\" \\\\"'


def test_a_long_list_of_candidates_goes_on_in_new_lines():
    formula = "max(" + ", ".join(f"F_{number}" for number in range(6)) + ")"
    lines = to_text(formula).split("\n")
    assert lines == ["max(F_0, F_1, F_2, F_3,", "    F_4, F_5)"]
    assert "; " in to_typst(formula)
    assert "mat(" not in to_typst("max(F_hand, F_rigid, F_elastic)")


def test_a_symbol_without_a_value_is_not_left_standing_among_numbers():
    with pytest.raises(ExpressionError, match="F_b"):
        to_text("F_a + F_b", (Value("F_a", 1.0, "N", "force"),), lambda value: str(value.value))
