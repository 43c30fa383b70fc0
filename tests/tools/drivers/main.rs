//! Prints where cargo has put the driver.

fn main() {
    println!("{}", env!("CARGO_BIN_FILE_GECKODRIVER_geckodriver"));
}
