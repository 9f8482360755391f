# What is counted decides where an aerosol lies, of the example particle_properties. Run from the project's root:
#   gnuplot docs/images/urban_weightings.gp
set terminal svg size 720,420 font "sans-serif,13" background "white"
set output "docs/images/urban_weightings.svg"
data = "examples/expected/particle_properties.txt"
set xlabel "size range, um"
set ylabel "share, per cent"
set yrange [0:60]
set xtics font ",9"
set style data histograms
set style histogram clustered gap 1
set style fill solid 0.85
set grid ytics lc rgb "#dddddd"
set key top right Left reverse
plot data index 1 using (100*$3):xtic(sprintf("%g-%g", $1, $2)) lc rgb "#0072B2" title "number", \
     "" index 1 using (100*$4) lc rgb "#009E73" title "surface", \
     "" index 1 using (100*$5) lc rgb "#D55E00" title "volume"
