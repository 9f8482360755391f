# Budgets of the example uncertainty_budget: what each input brings. Run from the project's root:
#   gnuplot docs/images/uncertainty_budget.gp
set terminal svg size 760,340 font "sans-serif,13" background "white"
set output "docs/images/uncertainty_budget.svg"
data = "examples/expected/uncertainty_budget.txt"
# Name and contribution of the first eight rows of each budget, the greatest first.
rows(case) = sprintf("< awk '/^nozzle read/ { c++ } / Pa .* %%$/ && c == %d && ++n <= 8 { name = substr($0, 5, 26); sub(/ +$/, \"\", name); print \"\\\"\" name \"\\\" \" substr($0, 43, 6) }' %s", case, data)
set multiplot layout 1,2
set style fill solid 0.6 noborder
set grid xtics lc rgb "#dddddd"
set yrange [7.6:-0.6]
set boxwidth 0.6
unset key
set lmargin 25
set rmargin 2
set xlabel "contribution, Pa"
set xrange [0:5]
set xtics 1
set title "read in steps of 1 Pa"
plot rows(1) using (0.5*column(2)):($0):(0.5*column(2)):(0.3):ytic(1) with boxxyerror lc rgb "#0072B2"
set xrange [0:1]
set xtics 0.5
set title "read in steps of 0.1 Pa"
plot rows(2) using (0.5*column(2)):($0):(0.5*column(2)):(0.3):ytic(1) with boxxyerror lc rgb "#0072B2"
unset multiplot
